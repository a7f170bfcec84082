import type { Reading } from "../../driver.ts";
import { withGaugeOnFile } from "../../gauges/remarks.ts";
import type { EndCause } from "../../journal.ts";
import type { WaterLimits } from "../../methods/waterPlan.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../../record.ts";
import { Columns } from "../columns.ts";
import { Health } from "../health.ts";
import type { Incident } from "../holdCase.ts";
import type { Judge } from "../judge.ts";
import { StampWatch } from "../stampWatch.ts";
import type { LiveView, Turn } from "../view.ts";
import { entryOf } from "./entries.ts";
import { EntryBook } from "./entryBook.ts";
import type { Level } from "./levels.ts";
import { WaterPhases } from "./phases.ts";
import { waterPrompts } from "./prompts.ts";
import { SecondMean } from "./secondMean.ts";
import type { WaterCase } from "./waterCase.ts";
import { judgeWater } from "./waterVerdict.ts";
import { waterViewOf } from "./waterView.ts";

export interface WaterWishes {
  judge?: Verdict["judge"];
  /** When the crew began its 30 min, s; for recordings. */
  holdFrom_s?: number | null;
}

/** No gauge at all: the crew reads a standpipe or a mark and types. */
export const isKeyed = ({ gauge }: Pick<RecordStart, "gauge">): boolean => gauge.url.startsWith("keyed:");

/** The causal judge of a water test, fed with the same events as the one of air. `start.limits.water` must be there. */
export class WaterJudge implements Judge {
  readonly start: RecordStart;
  readonly phases: WaterPhases;
  readonly health = new Health();
  readonly keyed: boolean;
  readonly water: WaterLimits;
  readonly #book: EntryBook;
  readonly #second = new SecondMean();
  readonly #read: boolean;
  readonly #judge: Verdict["judge"];
  readonly #columns = new Columns();
  readonly #stamps = new StampWatch();
  readonly #stated: Level[] = [];
  readonly #incidents: Incident[] = [];
  #origin_ms: number | null = null;
  #zero_Pa = 0;
  #unit: string | null = null;
  #told = 0;
  #over = false;
  alarm: string | null = null;
  last: { head_Pa: number; at_s: number } | null = null;
  verdict: Verdict | null = null;

  constructor(start: RecordStart, { judge = "live", holdFrom_s = null }: WaterWishes = {}) {
    const { water, settle_s, hold_s, test_Pa } = start.limits;
    if (water === undefined) throw new RangeError("a water judge was given limits without water");
    this.start = start;
    this.water = water;
    this.keyed = isKeyed(start);
    this.#judge = judge;
    this.#book = new EntryBook(water.permitted_L);
    this.#read = water.standpipe_mm !== null && !this.keyed;
    const prompts = waterPrompts(start.limits, { keyed: this.keyed, read: this.#read });
    this.phases = new WaterPhases({ water, settle_s, hold_s, test_Pa, prompts, keyed: this.keyed, read: this.#read, holdFrom_s });
  }

  get finished(): boolean {
    return this.phases.stage.finished;
  }

  seconds(at_ms: number): number {
    this.#origin_ms ??= at_ms;
    return (at_ms - this.#origin_ms) / 1000;
  }

  time(at_ms: number, wall_ms: number): void {
    this.#stamps.event(at_ms, wall_ms);
    const now_s = this.seconds(at_ms);
    this.#look(now_s);
    this.phases.time(now_s);
  }

  reading(reading: Reading, wall_ms: number): void {
    const at_s = this.seconds(reading.at_ms);
    const jump = this.#stamps.reading(reading.at_ms, wall_ms);
    if (jump !== null) this.#incidents.push({ kind: "clock-step", at_s, step_s: jump });
    if (reading.pressure_Pa === null) return;
    this.health.reading(at_s);
    if (reading.unit !== null) {
      if (this.#unit !== null && this.#unit !== reading.unit) this.#incidents.push({ kind: "unit-change", at_s, factor: 1 });
      this.#unit = reading.unit;
    }
    const head_Pa = reading.pressure_Pa - this.#zero_Pa;
    this.last = { head_Pa, at_s };
    this.#columns.push(at_s, head_Pa, reading.air_C, reading.ambient_Pa);
    this.#watchTop(head_Pa, at_s);
    this.#second.push(at_s, head_Pa);
  }

  /** `added 0.35`, `taken 0.1` (litres), `head 32000` (Pa), besides the keys of every test. */
  key(action: string, at_ms: number): void {
    const at_s = this.seconds(at_ms);
    if (action === "stop") return this.phases.turn(at_s, "stopped", "Stopped by hand.", null);
    const entry = entryOf(action);
    if (entry === null) {
      if (/^(added|taken|head)\b/.test(action)) this.phases.turn(at_s, "entry-refused", "An entry was no figure and is left out.", "ask");
      return;
    }
    if (entry.kind === "head") return this.#stateHead(at_s, entry.head_Pa);
    const from_s = this.phases.hold?.from_s ?? null;
    this.phases.turn(at_s, entry.kind, this.#book.take(entry.kind, entry.litres, at_s, from_s), null);
    this.phases.entry(at_s);
  }

  zero(zero_Pa: number): void {
    this.#zero_Pa = zero_Pa;
  }

  end(cause: EndCause, detail: string, at_ms: number): Verdict {
    const now_s = this.seconds(at_ms);
    this.#look(Number.POSITIVE_INFINITY);
    const { stage, hold } = this.phases;
    const whole = hold !== null && now_s >= hold.to_s;
    stage.spans.push({ phase: stage.phase, from_s: stage.since_s, to_s: now_s });
    if (hold !== null) hold.to_s = Math.min(hold.to_s, now_s);
    const told = judgeWater(this.#case(cause === "finished" || whole ? null : detail || cause));
    const { start } = this;
    const verdict: Verdict = {
      schema: "staunch/verdict/1",
      verdict: told.verdict,
      reasons: told.reasons,
      judge: this.#judge,
      judge_version: JUDGE_VERSION,
      rule: start.rule,
      source: start.source,
      record: start.id === "" ? null : start.id,
      program: start.program,
      method: start.limits.method,
      settled_at_s:
        this.phases.charged_s === null || hold === null ? null : Math.min(this.phases.charged_s + start.limits.settle_s, hold.from_s),
      phases: stage.spans.filter((span) => span.to_s > span.from_s),
      hold: told.hold,
      leak: told.leak,
      remarks: told.remarks,
      readings: this.#columns.length,
      water: told.water,
    };
    this.phases.turn(now_s, "verdict", `Verdict: ${told.verdict.toUpperCase()}.`, told.verdict === "inconclusive" ? "void" : told.verdict);
    this.verdict = withGaugeOnFile(verdict, start, this.health.identity);
    return this.verdict;
  }

  takeTurns(): Turn[] {
    const turns = this.phases.stage.turns.slice(this.#told);
    this.#told = this.phases.stage.turns.length;
    return turns;
  }

  view(at_ms: number): LiveView {
    return waterViewOf(this, this.seconds(at_ms));
  }

  /** Litres typed since the clock began. */
  enteredInHold(): { entered_L: number; topUps: number } {
    return this.#book.since(this.phases.hold?.from_s ?? null);
  }

  #look(now_s: number): void {
    const level = this.#second.take(now_s);
    if (level !== null) this.phases.level(level.at_s, level.head_Pa);
  }

  #stateHead(at_s: number, head_Pa: number): void {
    // Beside a gauge a typed head is a note; the gauge is believed.
    if (!this.keyed) return this.phases.turn(at_s, "head", "A head was typed; the gauge's own stands.", null);
    this.#stated.push({ at_s, head_Pa });
    this.last = { head_Pa, at_s };
    this.#watchTop(head_Pa, at_s);
    const late = this.phases.hold !== null && at_s >= this.phases.hold.to_s;
    this.phases.level(at_s, head_Pa);
    if (late && this.phases.hold !== null && this.water.standpipe_mm !== null) this.phases.measuredEnd(at_s);
  }

  #watchTop(head_Pa: number, at_s: number): void {
    const { high_Pa, band_Pa } = this.water;
    if (!this.#over && head_Pa > high_Pa + band_Pa) {
      this.#over = true;
      this.alarm = "The head is over the highest allowed: stop filling, let water out, keep clear of the plugs.";
      this.phases.turn(at_s, "over-pressure", this.alarm, "alarm");
    } else if (this.#over && head_Pa <= high_Pa) {
      this.#over = false;
      this.alarm = null;
    }
  }

  #case(interrupted: string | null): WaterCase {
    const { start, water, keyed } = this;
    const { target_Pa, charged_s, hold, back_s } = this.phases;
    const curve = this.#columns.curve();
    return {
      start,
      water,
      curve,
      stated: this.#stated,
      entries: this.#book.entries,
      keyed,
      read: this.#read,
      target_Pa,
      charged_s,
      hold,
      back_s,
      incidents: this.#incidents,
      interrupted,
    };
  }
}
