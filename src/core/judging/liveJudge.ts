import type { Reading } from "../driver.ts";
import { withGaugeOnFile } from "../gauges/remarks.ts";
import type { EndCause } from "../journal.ts";
import { signOf } from "../methods/limits.ts";
import type { RecordStart, Verdict } from "../record.ts";
import { judgeAttempt, type Seen } from "./attempt.ts";
import { Columns } from "./columns.ts";
import { Health } from "./health.ts";
import type { Incident } from "./holdCase.ts";
import { liveView } from "./liveView.ts";
import { Phases } from "./phases.ts";
import { StampWatch } from "./stampWatch.ts";
import { VentWatch } from "./ventWatch.ts";
import type { LiveView, Turn } from "./view.ts";
import { type Zero, zeroOf } from "./zero.ts";

/**
 * The causal judge: what `test` and `replay` run. Fed with every event of the journal in order, it tells the crew what
 * to do and, at the end, gives the verdict. It decides by stamps only, so a replay at any speed ends in the same figures.
 */
export class LiveJudge {
  readonly start: RecordStart;
  readonly phases: Phases;
  readonly columns = new Columns();
  readonly health = new Health();
  readonly #stamps = new StampWatch();
  readonly #incidents: Incident[] = [];
  #origin_ms: number | null = null;
  #zero_Pa = 0;
  #unit: string | null = null;
  #over = false;
  #wasOver = false;
  #last: { size_Pa: number; pressure_Pa: number; at_s: number } | null = null;
  #told = 0;
  alarm: string | null = null;
  verdict: Verdict | null = null;

  readonly #unfiltered: boolean;

  /** `unfiltered`: no reading is taken for a spike; for asking "what if", never for a record. */
  constructor(start: RecordStart, unfiltered = false) {
    this.start = start;
    this.#unfiltered = unfiltered;
    this.phases = new Phases(start.limits, start.gauge.resolution_Pa ?? 0, unfiltered);
  }

  get finished(): boolean {
    return this.phases.stage.finished;
  }

  get lastReading(): { size_Pa: number; pressure_Pa: number; at_s: number } | null {
    return this.#last;
  }

  seconds(at_ms: number): number {
    this.#origin_ms ??= at_ms;
    return (at_ms - this.#origin_ms) / 1000;
  }

  /** Any event moves time on, so that a dead gauge cannot hold up the end of a hold. */
  time(at_ms: number, wall_ms: number): void {
    const now_s = this.seconds(at_ms);
    this.#stamps.event(at_ms, wall_ms);
    if (this.phases.scene.bins.passed(now_s)) this.phases.second();
    this.phases.time(now_s);
  }

  reading(reading: Reading, wall_ms: number): void {
    const at_s = this.seconds(reading.at_ms);
    const jump = this.#stamps.reading(reading.at_ms, wall_ms);
    if (jump !== null) this.#incidents.push({ kind: "clock-step", at_s, step_s: jump });
    if (reading.pressure_Pa === null) return;
    this.health.reading(at_s);
    this.#unitSpoken(reading.unit, at_s);
    const pressure_Pa = reading.pressure_Pa - this.#zero_Pa;
    const size_Pa = this.phases.scene.sign * pressure_Pa;
    this.#learnStep(size_Pa);
    this.#last = { size_Pa, pressure_Pa, at_s };
    this.columns.push(at_s, pressure_Pa, reading.air_C, reading.ambient_Pa);
    this.#watchTop(size_Pa, at_s);
    if (this.phases.scene.bins.push(at_s, size_Pa)) this.phases.second();
    const { stage, scene } = this.phases;
    if (stage.phase !== "vent") return;
    stage.vent ??= new VentWatch(scene.bins.p_Pa.at(-1) ?? size_Pa);
    stage.vent.reading(at_s, size_Pa);
    this.phases.time(at_s);
  }

  key(action: string, at_ms: number): void {
    if (action === "skip-vent" && this.phases.stage.phase === "vent") this.phases.stage.finished = true;
    if (action === "stop" && this.phases.stage.phase !== "vent") this.phases.turn(this.seconds(at_ms), "stopped", "Stopped by hand.", null);
  }

  zero(zero_Pa: number): void {
    this.#zero_Pa = zero_Pa;
  }

  /** Closes the attempt; the verdict stands from here on. */
  end(cause: EndCause, detail: string, at_ms: number): Verdict {
    const now_s = this.seconds(at_ms);
    const { stage } = this.phases;
    stage.spans.push({ phase: stage.phase, from_s: stage.since_s, to_s: now_s });
    const cut = stage.phase === "hold" && stage.hold !== null && now_s < stage.hold.to_s;
    if (cut && stage.hold !== null) stage.hold.to_s = now_s;
    const held = stage.hold !== null && !cut;
    const interrupted = stage.brokenOff ?? (cause === "finished" || held ? null : detail || cause);
    const judged = judgeAttempt(this.start, this.columns, this.#seen(interrupted), this.#unfiltered);
    const verdict = withGaugeOnFile(judged, this.start, this.health.identity);
    this.verdict = verdict;
    const bell = verdict.verdict === "inconclusive" ? "void" : verdict.verdict;
    this.phases.turn(now_s, "verdict", `Verdict: ${verdict.verdict.toUpperCase()}.`, bell);
    return verdict;
  }

  /** What the gauge itself showed with nothing on it, before the charge and after the release, Pa; once the attempt is over. */
  zeros(): Pick<Zero, "before_Pa" | "after_Pa"> {
    const { limits, gauge } = this.start;
    const { hold, spans } = this.phases.stage;
    const within = hold ?? { from_s: Number.POSITIVE_INFINITY, to_s: Number.POSITIVE_INFINITY };
    const { before_Pa, after_Pa } = zeroOf({ curve: this.columns.curve(), limits, gauge, phases: spans }, within, signOf(limits));
    const shown = (left_Pa: number | null): number | null => (left_Pa === null ? null : left_Pa + this.#zero_Pa);
    return { before_Pa: shown(before_Pa), after_Pa: shown(after_Pa) };
  }

  /** Turns raised since the last call. */
  takeTurns(): Turn[] {
    const turns = this.phases.stage.turns.slice(this.#told);
    this.#told = this.phases.stage.turns.length;
    return turns;
  }

  view(at_ms: number): LiveView {
    return liveView(this, this.seconds(at_ms));
  }

  #seen(interrupted: string | null): Seen {
    const { stage } = this.phases;
    return {
      hold: stage.hold,
      lost: stage.lost,
      settled: stage.settled,
      incidents: this.#incidents,
      phases: stage.spans.filter((span) => span.to_s > span.from_s),
      // A file cannot show that its gauge saw the pipe, so it is not held against it.
      gaugeProven: this.start.source === "imported" ? null : (stage.vent?.proven ?? false),
      interrupted,
      gross: stage.gross,
    };
  }

  #unitSpoken(unit: string | null, at_s: number): void {
    if (unit === null || unit === this.#unit) return;
    if (this.#unit !== null) {
      this.#incidents.push({ kind: "unit-change", at_s, factor: 1 });
      this.phases.turn(at_s, "unit-changed", `The gauge now speaks ${unit} instead of ${this.#unit}.`, "alarm");
    }
    this.#unit = unit;
  }

  /** The smallest change ever seen is the gauge's step, when nobody told it. */
  #learnStep(size_Pa: number): void {
    if (this.start.gauge.resolution_Pa !== null || this.#last === null) return;
    const change = Math.abs(size_Pa - this.#last.size_Pa);
    const { scale } = this.phases.scene;
    // Below a thousandth of a pascal it is the arithmetic of a unit, not a step of the gauge.
    if (change > 1e-3 && (scale.resolution_Pa === 0 || change < scale.resolution_Pa)) scale.resolution_Pa = change;
  }

  #watchTop(size_Pa: number, at_s: number): void {
    const { scene, prompts } = this.phases;
    // One wild reading is not a pressure; two that agree are.
    const agreed = size_Pa > scene.top_Pa && this.#wasOver;
    this.#wasOver = size_Pa > scene.top_Pa;
    if (!this.#over && agreed) {
      this.#over = true;
      this.alarm = `Over ${prompts.figure(scene.top_Pa)}: stop pumping, let air out, keep clear of the plugs.`;
      this.phases.turn(at_s, "over-pressure", this.alarm, "alarm");
    } else if (this.#over && size_Pa < 0.98 * scene.top_Pa) {
      this.#over = false;
      this.alarm = null;
    }
  }
}
