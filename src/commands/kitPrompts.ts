import type { CrewAct } from "../core/driver.ts";
import type { KitPhase, KitWatch } from "../core/gauges/kitWatch.ts";
import { REST_S } from "../core/gauges/kitWatch.ts";
import { duration } from "../terminal/figures.ts";
import { plainPressure } from "./gaugePages.ts";

const TICK_S = 30;
/** Above the charge by so much: stop pumping. */
const TOO_MUCH = 1.15;

/** What the crew hears in a kit check: a line at each turn and one each half minute. */
export class KitPrompts {
  readonly #aim: { target_Pa: number; duration_s: number };
  readonly #say: (text: string) => void;
  #phase: KitPhase | null = null;
  #ticked_s = 0;
  #warned = false;

  constructor(aim: { target_Pa: number; duration_s: number }, say: (text: string) => void) {
    this.#aim = aim;
    this.#say = say;
  }

  after(watch: KitWatch, at_s: number, pressure_Pa: number | null, hear: (act: CrewAct) => void): void {
    if (watch.phase !== this.#phase) this.#turn(watch.phase, hear);
    if (pressure_Pa === null) return;
    const over = pressure_Pa / this.#aim.target_Pa > TOO_MUCH;
    if (over && !this.#warned) this.#say(`! ${plainPressure(pressure_Pa)}: too much. Stop pumping, let air out, keep clear of the cap.`);
    this.#warned = over;
    if (at_s - this.#ticked_s < TICK_S || watch.phase === "over") return;
    this.#ticked_s = at_s;
    const left = watch.until_s === null ? "" : `, ${duration(watch.until_s - at_s, "up")} to go`;
    this.#say(`  ${duration(at_s)}  ${watch.phase}  ${plainPressure(pressure_Pa)}${left}`);
  }

  #turn(phase: KitPhase, hear: (act: CrewAct) => void): void {
    const first = this.#phase === null;
    this.#phase = phase;
    const { target_Pa, duration_s } = this.#aim;
    if (phase === "charge") {
      this.#say(
        "Kit check: the hose and the gauge only, the hose's far end capped. A cap can fly: keep out of its line, keep people away.",
      );
      this.#say(`Pump to ${plainPressure(target_Pa)}, shut the pump's valve, then leave the kit alone, out of sun and wind.`);
      hear({ act: "pump", to_Pa: target_Pa });
    } else if (phase === "rest") {
      if (first) this.#say("The kit is under pressure already.");
      this.#say(`Charged. Hands off: it rests for ${duration(REST_S)} after the last stroke, then holds for ${duration(duration_s)}.`);
      hear({ act: "hands-off" });
    } else if (phase === "hold") this.#say(`The hold of ${duration(duration_s)} has begun. Hands off.`);
    else {
      this.#say("Over. Let the air out at the valve before you take the cap off; a gauge that reads zero is never permission.");
      hear({ act: "vent" });
    }
  }
}
