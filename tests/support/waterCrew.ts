import { findDriver } from "../../drivers/index.ts";
import type { JournalBody, JournalEvent } from "../../src/core/journal.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import { NO_WATER_PLAN, type WaterPlan } from "../../src/core/methods/waterPlan.ts";
import type { Phase, RecordStart, Verdict } from "../../src/core/record.ts";
import { fold, startFold } from "../../src/session/fold.ts";
import { startWith } from "./fedJudge.ts";

export interface WaterWish {
  plan?: Partial<WaterPlan>;
  /** Typed heads only. */
  keyed?: boolean;
  start?: Partial<RecordStart>;
  dn_mm?: number;
  laid_length_m?: number;
}

/** DN 300, 50 m, clay: 47.12 m², 7.07 L permitted (0.15 L/m²). Head wished: 30 kPa. */
export function waterStart({ plan = {}, keyed = false, start = {}, dn_mm = 300, laid_length_m = 50 }: WaterWish = {}): RecordStart {
  const water = { ...NO_WATER_PLAN, head_Pa: 30_000, ...plan };
  const limits = limitsFor("en1610-w", { dn_mm, material: "clay", laid_length_m, water });
  const gauge = {
    url: keyed ? "keyed://" : "serial:///dev/ttyUSB0?protocol=line",
    protocol: "line",
    driverOptions: { unit: "Pa" },
    reference: "vented" as const,
    resolution_Pa: keyed ? null : 10,
    accuracy_fraction: null,
    accuracy_Pa: null,
  };
  return startWith(limits, { gauge, ...start });
}

/** Fills, waits and pours as told; every event goes through the fold, as in a session, and stands in `journal`. */
export class WaterCrew {
  readonly start: RecordStart;
  readonly journal: JournalEvent[] = [];
  readonly codes: string[] = [];
  readonly texts: string[] = [];
  now_s = 0;
  head_Pa = 0;
  readonly #folding;
  readonly #keyed: boolean;

  constructor(wish: WaterWish = {}) {
    this.start = waterStart(wish);
    this.#keyed = wish.keyed === true;
    this.#folding = startFold(findDriver("line").create({ unit: "Pa" }), this.start);
    this.#tell({ kind: "link-up", detail: "test" });
  }

  get judge() {
    return this.#folding.judge;
  }

  get phase(): Phase {
    return this.judge.phases.stage.phase;
  }

  /** Time passes, the head falling by so much a minute; with a gauge it is read every second. */
  wait(seconds: number, fall_Pa_min = 0): this {
    for (const end_s = this.now_s + seconds; this.now_s < end_s && !this.judge.finished; ) {
      this.now_s++;
      this.head_Pa -= fall_Pa_min / 60;
      if (this.#keyed) this.#tell({ kind: "silence", since_ms: 0 });
      else this.#tell({ kind: "bytes-in", bytes: new TextEncoder().encode(`${Math.round(this.head_Pa / 10) * 10}\n`) });
    }
    return this;
  }

  /** Time passes and the gauge says nothing. */
  silent(seconds: number): this {
    for (const end_s = this.now_s + seconds; this.now_s < end_s && !this.judge.finished; ) {
      this.now_s++;
      this.#tell({ kind: "silence", since_ms: 0 });
    }
    return this;
  }

  /** Goes to a head in a straight line. */
  to(head_Pa: number, seconds: number): this {
    return this.wait(seconds, (60 * (this.head_Pa - head_Pa)) / seconds);
  }

  type(action: string): this {
    this.#tell({ kind: "key", action });
    return this;
  }

  /** Filled to the test head, conditioned by the method's hour, brought back to the head. */
  untilHold(): this {
    if (this.#keyed) return this.wait(300).type("head 30000").wait(3601).type("head 30000");
    this.to(30_000, 600).wait(3500);
    for (let i = 0; i < 600 && this.phase !== "hold"; i++) this.wait(1);
    return this;
  }

  end(cause: "finished" | "user" = "finished"): Verdict {
    this.#tell({ kind: "end", cause, detail: cause === "user" ? "stopped by the user" : "" });
    const { verdict } = this.judge;
    if (verdict === null) throw new Error("an end without a verdict");
    return verdict;
  }

  #tell(body: JournalBody): void {
    const at_ms = 1000 * this.now_s;
    const event: JournalEvent = { ...body, at_ms, wall_ms: 1_767_225_600_000 + at_ms, seq: this.journal.length };
    this.journal.push(event);
    for (const { code, text } of fold(this.#folding, event).turns) {
      this.codes.push(code);
      this.texts.push(text);
    }
  }
}
