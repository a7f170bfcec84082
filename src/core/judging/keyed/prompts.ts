import { displayDecimals, displayUnit } from "../../methods/displayUnit.ts";
import { type Limits, signOf } from "../../methods/limits.ts";
import { toUnit } from "../../units.ts";
import { type Prompts, promptsFor } from "../prompts.ts";
import type { Ask } from "../view.ts";

/** Every sentence a crew hears that reads a tube by eye; pressures come in as sizes. */
export interface KeyedPrompts {
  figure(size_Pa: number): string;
  charge(): Ask;
  keepOn(size_Pa: number): Ask;
  settle(): Ask;
  topUp(to_Pa: number): Ask;
  tell(): Ask;
  toTest(advice: "pump" | "bleed" | "wait", to_Pa: number): Ask;
  rest(seconds: number): Ask;
  start(): Ask;
  hold(next_s: number): Ask;
  call(): Ask;
  end(): Ask;
  vent(): Ask;
  notOpen(size_Pa: number): Ask;
}

export function keyedPrompts(limits: Limits): KeyedPrompts {
  const plain: Prompts = promptsFor(limits);
  const unit = displayUnit(limits);
  const sign = signOf(limits);
  const mm = (size_Pa: number): string => (sign * toUnit(size_Pa, "mmH2O")).toFixed(0);
  const figure = (size_Pa: number): string => {
    if (unit === "mmH2O") return `${mm(size_Pa)} ${unit}`;
    return `${(sign * toUnit(size_Pa, unit)).toFixed(displayDecimals(limits, unit))} ${unit} (${mm(size_Pa)} mm)`;
  };
  const wait = { act: "wait" } as const;
  const type = `type what the tube shows in mm`;
  const also = (ask: Ask, words: string, to_Pa?: number): Ask => ({
    act: ask.act,
    say: `${to_Pa === undefined ? ask.say.replace(/\.$/, "") : `${verb(ask)} to ${figure(to_Pa)}`}${words}`,
  });
  const verb = (ask: Ask): string => ask.say.split(" to ")[0] ?? ask.say;
  const charge_Pa = Math.abs(limits.charge_Pa);
  const example = mm(charge_Pa).replace("-", "");
  return {
    figure,
    charge: () => also(plain.charge(), `, shut the valve, then ${type}: ${example}, or both legs.`, charge_Pa),
    keepOn: (size_Pa) => ({ act: plain.charge().act, say: `On to ${figure(charge_Pa)}: ${figure(size_Pa)} so far. Then ${type}.` }),
    settle: () => ({ act: wait, say: "Valve shut, leave it: the air is settling. If you top it up, type pumped." }),
    topUp: (to_Pa) => also(plain.topUp(to_Pa), `, shut the valve, ${type}.`, to_Pa),
    tell: () => ({ act: wait, say: `Touch nothing, ${type}.` }),
    toTest: (advice, to_Pa) =>
      advice === "wait"
        ? { act: { act: "hands-off" }, say: `Hands off: it comes to ${figure(to_Pa)} by itself; ${type} when it is there.` }
        : also(advice === "pump" ? plain.topUp(to_Pa) : plain.bleed(to_Pa), `, shut the valve, ${type}.`, to_Pa),
    rest: (seconds) => ({ act: { act: "hands-off" }, say: `Hands off for ${Math.ceil(seconds)} s: a start reading is then called for.` }),
    start: () => ({ act: { act: "hands-off" }, say: `Now: ${type}. The clock starts with it.` }),
    hold: (next_s) => ({
      act: { act: "hands-off" },
      say: `The hold is running: hands off. The next reading is called for at ${minutes(next_s)}.`,
    }),
    call: () => ({ act: { act: "hands-off" }, say: `Reading, now: ${type}.` }),
    end: () => ({ act: { act: "hands-off" }, say: `Time: the last reading, now: ${type}.` }),
    vent: () => also(plain.vent(), `. When it is open, ${type}: it must fall to 0.`),
    notOpen: (size_Pa) => ({ act: plain.vent().act, say: `The tube still shows ${figure(size_Pa)}: open the vent wholly, wait, ${type}.` }),
  };
}

const minutes = (seconds: number): string => `${Math.floor(seconds / 60)}:${String(Math.round(seconds % 60)).padStart(2, "0")}`;
