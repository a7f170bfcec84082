import { at, type Curve } from "../../curve.ts";
import type { Limits } from "../../methods/limits.ts";
import { type GaugeFacts, JUDGE_VERSION, type RecordStart, type Rule, type Verdict } from "../../record.ts";
import { WaterJudge } from "./waterJudge.ts";

/** A finished recording of a water test. Times are those of its first column. */
export interface RecordedWater {
  curve: Curve;
  limits: Limits;
  gauge: GaugeFacts;
  rule: Rule;
  program: string;
  /** What the crew wrote down: litres put in (+) or let out (−). */
  entries: readonly { at_s: number; litres: number }[];
  /** When the crew began its 30 min; `null`: found from the level, as live. */
  holdFrom_s: number | null;
}

/** Judges a recording by running the water judge over it, the entries at their times. */
export function judgeRecordedWater(input: RecordedWater): Verdict {
  const { curve, entries, holdFrom_s } = input;
  const first_s = curve.time_s.length === 0 ? 0 : at(curve.time_s, 0);
  const judge = new WaterJudge(startOf(input), { judge: "whole-curve", holdFrom_s: holdFrom_s === null ? null : holdFrom_s - first_s });
  const waiting = [...entries].sort((a, b) => a.at_s - b.at_s);
  const enter = (until_s: number): void => {
    for (let next = waiting[0]; next !== undefined && next.at_s <= until_s; next = waiting[0]) {
      waiting.shift();
      const at_ms = toMs(next.at_s);
      judge.time(at_ms, at_ms);
      judge.key(next.litres < 0 ? `taken ${-next.litres}` : `added ${next.litres}`, at_ms);
    }
  };
  let last_ms = toMs(first_s);
  judge.time(last_ms, last_ms);
  for (const i of inTimeOrder(curve)) {
    const at_s = at(curve.time_s, i);
    const pressure_Pa = at(curve.pressure_Pa, i);
    enter(at_s);
    last_ms = toMs(at_s);
    judge.time(last_ms, last_ms);
    judge.reading({ at_ms: last_ms, pressure_Pa: Number.isFinite(pressure_Pa) ? pressure_Pa : null, unit: null }, last_ms);
  }
  enter(Number.POSITIVE_INFINITY);
  last_ms = Math.max(last_ms, ...entries.map(({ at_s }) => toMs(at_s)));
  return judge.end("finished", "", last_ms);
}

const toMs = (at_s: number): number => Math.round(at_s * 1000);

/** Rows whose stamp is a time, earliest first; a file may hold them in any order. */
function inTimeOrder({ time_s }: Curve): number[] {
  const rows = Array.from(time_s.keys()).filter((i) => Number.isFinite(at(time_s, i)));
  return rows.sort((a, b) => at(time_s, a) - at(time_s, b));
}

const startOf = ({ limits, gauge, rule, program }: RecordedWater): RecordStart => ({
  id: "",
  started_wall_ms: 0,
  source: "imported",
  section: { id: "", dn_mm: limits.dn_mm, material: limits.material, laid_length_m: limits.laid_length_m },
  stage: "laid",
  tester: null,
  rule,
  strict: false,
  limits,
  gauge,
  program,
  judge_version: JUDGE_VERSION,
});
