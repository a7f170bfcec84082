import { displayDecimals, displayUnit } from "../methods/displayUnit.ts";
import { type Limits, signOf } from "../methods/limits.ts";
import { toUnit } from "../units.ts";
import type { Ask } from "./view.ts";

/** Every sentence the crew hears, for one set of limits; sizes of charge come in, figures of the method's unit go out. */
export interface Prompts {
  figure(size_Pa: number): string;
  zero(): Ask;
  charge(): Ask;
  keepPumping(size_Pa: number): Ask;
  settle(): Ask;
  topUp(to_Pa: number): Ask;
  bleed(to_Pa: number): Ask;
  handsOff(): Ask;
  watchFall(): Ask;
  wait(): Ask;
  hold(): Ask;
  vent(): Ask;
}

export function promptsFor(limits: Limits): Prompts {
  const unit = displayUnit(limits);
  const sign = signOf(limits);
  const decimals = displayDecimals(limits, unit);
  const figure = (size_Pa: number): string => `${(sign * toUnit(size_Pa, unit)).toFixed(decimals)} ${unit}`;
  const charge_Pa = Math.abs(limits.charge_Pa);
  const pump = sign > 0 ? "Pump" : "Draw air out";
  const more = sign > 0 ? "Top up" : "Draw down";
  const release = sign > 0 ? "Bleed" : "Let air in";
  return {
    figure,
    zero: () => ({
      act: { act: "wait" },
      say: "Leave the gauge open to the air: checking its zero.",
    }),
    charge: () => ({
      act: { act: "pump", to_Pa: sign * charge_Pa },
      say: `${pump} to ${figure(charge_Pa)}.`,
    }),
    keepPumping: (size_Pa) => ({
      act: { act: "pump", to_Pa: sign * charge_Pa },
      say: `Keep on to ${figure(charge_Pa)}: ${figure(size_Pa)} so far.`,
    }),
    settle: () => ({
      act: { act: "wait" },
      say: "Valve shut, leave it: the air is settling.",
    }),
    topUp: (to_Pa) => ({
      act: { act: "pump", to_Pa: sign * to_Pa },
      say: `${more} to ${figure(to_Pa)}, then shut the valve.`,
    }),
    bleed: (to_Pa) => ({
      act: { act: "bleed", to_Pa: sign * to_Pa },
      say: `${release} to ${figure(to_Pa)}: crack the valve, shut it, wait.`,
    }),
    handsOff: () => ({
      act: { act: "hands-off" },
      say: "Hands off: it comes to the test pressure by itself.",
    }),
    watchFall: () => ({ act: { act: "hands-off" }, say: "It falls fast: hands off while the fall is watched." }),
    wait: () => ({
      act: { act: "wait" },
      say: "Valve shut, wait: the clock starts by itself.",
    }),
    hold: () => ({
      act: { act: "hands-off" },
      say: "The hold is running: hands off until the bell.",
    }),
    vent: () => ({
      act: { act: "vent" },
      say: "Open the vent at the plug slowly, leave it open; make sure by eye or ear.",
    }),
  };
}
