import type { CrewAct } from "../core/driver.ts";

/** The crew looks at the gauge at rest, then fills the pipe once and keeps its hands off. */
const PUMP_AT_S = 5;
/** A pipe that is not full by then leaks as fast as they pump. */
const GIVE_UP_S = 120;
const FULL = 0.99;

/** What a simulated crew is told when no test tells it anything: `hear` is called with every reading. */
export class LiveCrew {
  readonly #charge_Pa: number;
  readonly #tell: (act: CrewAct) => void;
  #told: "nothing" | "pump" | "hands-off" = "nothing";

  constructor(charge_Pa: number, tell: (act: CrewAct) => void) {
    this.#charge_Pa = charge_Pa;
    this.#tell = tell;
  }

  hear(at_s: number, pressure_Pa: number): void {
    if (this.#told === "nothing" && at_s >= PUMP_AT_S) {
      this.#told = "pump";
      this.#tell({ act: "pump", to_Pa: this.#charge_Pa });
    } else if (this.#told === "pump" && (pressure_Pa >= FULL * this.#charge_Pa || at_s >= PUMP_AT_S + GIVE_UP_S)) {
      this.#told = "hands-off";
      this.#tell({ act: "hands-off" });
    }
  }
}
