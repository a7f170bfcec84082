import type { Reading } from "../../driver.ts";
import type { EndCause } from "../../journal.ts";
import { signOf } from "../../methods/limits.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../../record.ts";
import { Health } from "../health.ts";
import type { Judge } from "../judge.ts";
import { StampWatch } from "../stampWatch.ts";
import type { LiveView, Turn } from "../view.ts";
import { type KeyedEntry, keyedEntryOf } from "./entries.ts";
import type { KeyedCase } from "./keyedCase.ts";
import { judgeKeyed } from "./keyedVerdict.ts";
import { keyedViewOf } from "./keyedView.ts";
import { KeyedPhases } from "./phases.ts";

/** The causal judge of a test of air read by eye: a dozen typed readings in place of many a second. */
export class KeyedJudge implements Judge {
  readonly start: RecordStart;
  readonly phases: KeyedPhases;
  readonly health = new Health();
  readonly sign: 1 | -1;
  readonly #stamps = new StampWatch();
  #origin_ms: number | null = null;
  #told = 0;
  #clockStep_s: number | null = null;
  alarm: string | null = null;
  verdict: Verdict | null = null;

  constructor(start: RecordStart) {
    this.start = start;
    this.sign = signOf(start.limits);
    this.phases = new KeyedPhases(start.limits);
  }

  get finished(): boolean {
    return this.phases.stage.finished;
  }

  seconds(at_ms: number): number {
    this.#origin_ms ??= at_ms;
    return (at_ms - this.#origin_ms) / 1000;
  }

  /** Somebody sleeps: between two events both clocks part. The quiet of the line makes one every second. */
  time(at_ms: number, wall_ms: number): void {
    const now_s = this.seconds(at_ms);
    const step_s = this.#stamps.reading(at_ms, wall_ms);
    if (step_s !== null && this.phases.stage.phase === "hold") this.#clockStep_s ??= step_s;
    this.phases.time(now_s);
  }

  /** No gauge is there that could give one; what another line measures is not of the pipe. */
  reading(_reading: Reading, _wall_ms: number): void {}

  /** `read 961.05`, `legs 961.05`, `start-read …`, `pumped`, `bled`, besides the keys of every test. */
  key(action: string, at_ms: number): void {
    const at_s = this.seconds(at_ms);
    if (action === "stop") return this.phases.turn(at_s, "stopped", "Stopped by hand.", null);
    if (action === "skip-vent") return this.phases.skip(at_s);
    const entry = keyedEntryOf(action);
    if (entry !== null) this.#take(entry, at_s);
  }

  zero(_zero_Pa: number): void {}

  end(cause: EndCause, detail: string, at_ms: number): Verdict {
    const now_s = this.seconds(at_ms);
    this.phases.end();
    const { stage } = this.phases;
    stage.spans.push({ phase: stage.phase, from_s: stage.since_s, to_s: now_s });
    const told = judgeKeyed(this.#case(cause === "finished" ? null : detail || cause, now_s));
    const { start } = this;
    this.verdict = {
      schema: "staunch/verdict/1",
      verdict: told.verdict,
      reasons: told.reasons,
      judge: "live",
      judge_version: JUDGE_VERSION,
      rule: start.rule,
      source: start.source,
      record: start.id === "" ? null : start.id,
      program: start.program,
      method: start.limits.method,
      // So few readings cannot tell when it had settled.
      settled_at_s: null,
      phases: stage.spans.filter((span) => span.to_s > span.from_s),
      hold: told.hold,
      leak: told.leak,
      remarks: told.remarks,
      readings: this.phases.state.readings.length,
    };
    this.phases.turn(now_s, "verdict", `Verdict: ${told.verdict.toUpperCase()}.`, told.verdict === "inconclusive" ? "void" : told.verdict);
    return this.verdict;
  }

  takeTurns(): Turn[] {
    const turns = this.phases.stage.turns.slice(this.#told);
    this.#told = this.phases.stage.turns.length;
    return turns;
  }

  view(at_ms: number): LiveView {
    return keyedViewOf(this, this.seconds(at_ms));
  }

  #take(entry: KeyedEntry, at_s: number): void {
    if (this.finished) return;
    if (entry.kind !== "reading") return this.phases.touched({ at_s, kind: entry.kind });
    const { size_Pa, looks, starts } = entry;
    this.#watchTop(size_Pa, at_s);
    this.phases.reading({ at_s, size_Pa, looks }, starts);
  }

  #watchTop(size_Pa: number, at_s: number): void {
    const over = size_Pa > this.sign * this.start.limits.top_Pa;
    if (over && this.alarm === null) {
      this.alarm = "The pressure is over the highest allowed: stop pumping, let air out, keep clear of the plugs.";
      this.phases.turn(at_s, "over-pressure", this.alarm, "alarm");
    } else if (!over) this.alarm = null;
  }

  #case(interrupted: string | null, over_s: number): KeyedCase {
    const { state } = this.phases;
    return {
      start: this.start,
      readings: state.readings.length,
      charged_s: state.charged_s,
      hold: state.hold,
      held: state.held,
      end: state.end,
      touches: state.touches,
      answers: state.answers,
      zero_Pa: state.zero_Pa,
      opened: state.opened,
      proven: state.proven,
      clockStep_s: this.#clockStep_s,
      interrupted,
      over_s,
    };
  }
}
