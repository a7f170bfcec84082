import type { JournalBody, JournalEvent } from "../../src/core/journal.ts";
import { keyedActionFrom } from "../../src/core/judging/keyed/entries.ts";
import { EYE_Pa } from "../../src/core/judging/keyed/eye.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import type { Limits } from "../../src/core/methods/limits.ts";
import type { Told } from "../../src/core/methods/method.ts";
import type { Phase, RecordStart, Verdict } from "../../src/core/record.ts";
import { keyedDriver } from "../../src/links/keyed.ts";
import { fold, startFold } from "../../src/session/fold.ts";
import { startWith } from "./fedJudge.ts";

export interface TubeWish {
  method?: string;
  limits?: Partial<Limits>;
  dn_mm?: number;
  laid_length_m?: number;
  told?: Told;
  start?: Partial<RecordStart>;
  gauge?: Partial<RecordStart["gauge"]>;
}

export function tubeStart({
  method = "uk-100mm",
  limits = {},
  dn_mm = 150,
  laid_length_m = 30,
  told = {},
  start = {},
  gauge = {},
}: TubeWish = {}): RecordStart {
  const worked = limitsFor(method, { dn_mm, material: "clay", laid_length_m, ...told });
  const facts = { protocol: "keyed", reference: "vented", resolution_Pa: EYE_Pa, accuracy_fraction: null, accuracy_Pa: null } as const;
  return startWith({ ...worked, ...limits }, { gauge: { url: "keyed://", ...facts, ...gauge }, ...start });
}

/** A crew at a U-tube that types when it is told to; every event goes through the fold, as in a session. Heights in mm of water. */
export class TubeCrew {
  readonly start: RecordStart;
  readonly journal: JournalEvent[] = [];
  readonly turns: string[] = [];
  now_s = 0;
  readonly #folding;

  constructor(wish: TubeWish = {}) {
    this.start = tubeStart(wish);
    this.#folding = startFold(keyedDriver, this.start);
    this.#tell({ kind: "link-up", detail: "typed by hand" });
  }

  get judge() {
    return this.#folding.judge;
  }

  get phase(): Phase {
    return this.judge.phases.stage.phase;
  }

  get asked(): string {
    return this.judge.phases.stage.ask.say;
  }

  get view() {
    return this.judge.view(1000 * this.now_s);
  }

  /** Time passes; the line's quiet marks each second. */
  wait(seconds: number, until: () => boolean = () => false): this {
    for (const end_s = this.now_s + seconds; this.now_s < end_s && !this.judge.finished && !until(); ) {
      this.now_s++;
      this.#tell({ kind: "silence", since_ms: 0 });
    }
    return this;
  }

  /** Waits until a reading is called for. */
  called(within_s = 900): this {
    return this.wait(within_s, () => this.view.keyed?.called_s != null);
  }

  /** A line as typed. */
  type(line: string): this {
    this.#tell({ kind: "key", action: line === "stop" ? line : keyedActionFrom(line, this.start.limits) });
    return this;
  }

  /** A line, and again when it is hard to believe. */
  surely(line: string): this {
    this.type(line);
    return this.view.keyed?.doubted === true ? this.wait(2).type(line) : this;
  }

  /** Charged, settled with nobody at the valve, brought to a start: the clock runs from `start_mm`. */
  untilHold(start_mm = 100): this {
    this.wait(5).type("0").wait(25).type("110").called().wait(2).type("108").called().wait(2).type("108");
    this.wait(20).type("bled").wait(3).type(`${start_mm}`).called().wait(1).type(`${start_mm}`);
    return this;
  }

  /** Answers each call of the hold with the next of these, the last one at its end. */
  readings(...lines: readonly (string | null)[]): this {
    for (const line of lines) {
      this.called();
      if (line !== null) this.wait(1).surely(line);
      else this.wait(this.view.keyed?.next_s ?? 60);
    }
    return this;
  }

  /** Opens the pipe and says so. */
  opened(): this {
    return this.wait(20).type("0");
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
    for (const { at_s, code, text } of fold(this.#folding, event).turns) this.turns.push(`${at_s} ${code}: ${text}`);
  }
}
