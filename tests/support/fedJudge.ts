import { LiveJudge } from "../../src/core/judging/liveJudge.ts";
import type { Limits } from "../../src/core/methods/limits.ts";
import { JUDGE_VERSION, type Phase, type RecordStart, type Verdict } from "../../src/core/record.ts";
import { gaugeWith, limitsWith } from "./pressureCurve.ts";

export const startWith = (limits: Limits = limitsWith(), wishes: Partial<RecordStart> = {}): RecordStart => ({
  id: "20260101-080000-fed",
  started_wall_ms: 1_767_225_600_000,
  source: "gauge",
  section: { id: "S1", dn_mm: limits.dn_mm, material: limits.material, laid_length_m: limits.laid_length_m },
  stage: "laid",
  tester: null,
  rule: "simple",
  strict: false,
  limits,
  gauge: gaugeWith(),
  program: "staunch test",
  judge_version: JUDGE_VERSION,
  ...wishes,
});

/** A live judge fed by hand: pressures as functions of time, one reading a second. */
export class FedJudge {
  readonly judge: LiveJudge;
  readonly codes: string[] = [];
  now_s = 0;
  pressure_Pa = 0;

  constructor(limits?: Limits, wishes?: Partial<RecordStart>) {
    this.judge = new LiveJudge(startWith(limits, wishes));
  }

  get phase(): Phase {
    return this.judge.phases.stage.phase;
  }

  /** `pressure` is told the seconds since this stretch began; stops early once `until` is so. */
  feed(seconds: number, pressure: (t: number) => number, until: () => boolean = () => false): this {
    const from_s = this.now_s;
    while (this.now_s < from_s + seconds && !this.judge.finished && !until()) {
      this.pressure_Pa = pressure(this.now_s - from_s);
      const at_ms = 1000 * this.now_s;
      this.judge.time(at_ms, at_ms);
      this.judge.reading({ at_ms, pressure_Pa: this.pressure_Pa, unit: null }, at_ms);
      this.#next();
    }
    return this;
  }

  /** Time without readings. */
  silent(seconds: number): this {
    for (const end_s = this.now_s + seconds; this.now_s < end_s && !this.judge.finished; ) {
      this.judge.time(1000 * this.now_s, 1000 * this.now_s);
      this.#next();
    }
    return this;
  }

  /** Stays where it is. */
  rest(seconds: number, until?: () => boolean): this {
    const at_Pa = this.pressure_Pa;
    return this.feed(seconds, () => at_Pa, until);
  }

  /** Goes to a pressure in a straight line. */
  to(pressure_Pa: number, seconds: number): this {
    const from_Pa = this.pressure_Pa;
    return this.feed(seconds, (t) => from_Pa + ((pressure_Pa - from_Pa) * (t + 1)) / seconds);
  }

  end(): Verdict {
    const verdict = this.judge.end("finished", "", 1000 * this.now_s);
    this.codes.push(...this.judge.takeTurns().map(({ code }) => code));
    return verdict;
  }

  #next(): void {
    this.now_s++;
    this.codes.push(...this.judge.takeTurns().map(({ code }) => code));
  }
}
