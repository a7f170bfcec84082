import { at } from "../curve.ts";
import type { Evidence } from "./evidence.ts";
import { indexFrom } from "./lineAt.ts";
import { wordingOf } from "./reasons.ts";
import { type Remark, remark } from "./weatherRemarks.ts";

/** What no gauge on a pipe shows. A curve copied from another record is found by comparing records (`lookAlike`). */
export const suspicions = (evidence: Evidence): Remark[] => [...neverMoved(evidence), ...tooSmooth(evidence), ...tooFew(evidence)];

function heldOf({ input, hold }: Evidence): { time_s: Float64Array; pressure_Pa: Float64Array } {
  const { time_s, pressure_Pa } = input.curve;
  const from = indexFrom(time_s, hold.from_s);
  const to = indexFrom(time_s, hold.to_s + 1e-9);
  return { time_s: time_s.subarray(from, to), pressure_Pa: pressure_Pa.subarray(from, to) };
}

/** Fewer readings than this, or a shorter hold, may well stand still. */
const LEAST_READINGS = 30;
const LEAST_S = 60;

function neverMoved(evidence: Evidence): Remark[] {
  const { drop, input, length_s } = evidence;
  const { resolution_Pa } = drop.noise;
  const held = heldOf(evidence).pressure_Pa;
  if (resolution_Pa > 0.01 * input.limits.permittedDrop_Pa || held.length < LEAST_READINGS || length_s < LEAST_S) return [];
  if (held.some((p) => Math.abs(p - at(held, 0)) > 1.001 * resolution_Pa)) return [];
  const text =
    "The reading did not move by more than one step in the whole hold; even a tight pipe follows the weather. Check that the gauge sees the pipe.";
  return [remark("too-good", text, { resolution_Pa })];
}

/** Readings that come in steps scatter by 0.29 of a step about a slope that crosses several; less than this has been smoothed or made up. */
const SMOOTH_PART = 0.1;
const CROSSED_STEPS = 5;

function tooSmooth(evidence: Evidence): Remark[] {
  const { drop, input } = evidence;
  const { resolution_Pa, sigma_Pa } = drop.noise;
  if (resolution_Pa <= 0 || heldOf(evidence).time_s.length < LEAST_READINGS) return [];
  if (Math.abs(drop.drop_Pa ?? 0) < CROSSED_STEPS * resolution_Pa || sigma_Pa >= SMOOTH_PART * resolution_Pa) return [];
  const words = wordingOf(input.limits);
  const text = `The readings follow their trend to ± ${words.pressure(sigma_Pa)}, which a gauge with steps of ${words.pressure(resolution_Pa)} cannot show: filtered, or not read off this gauge.`;
  return [remark("too-good", text, { sigma_Pa, resolution_Pa })];
}

/** Part of the readings that may be missing one by one, beside the gaps that are told as such. */
const MISSING_PART = 0.1;

/** The gauge's own rate, by the middle of its intervals, promises so many readings. */
function tooFew(evidence: Evidence): Remark[] {
  const { time_s } = heldOf(evidence);
  if (time_s.length < LEAST_READINGS) return [];
  const intervals = Float64Array.from(time_s.subarray(1), (t, i) => t - at(time_s, i)).sort();
  const usual_s = at(intervals, intervals.length >> 1);
  const silent_s = evidence.inside.reduce((sum, i) => sum + (i.kind === "gap" ? i.gap_s : 0), 0);
  const promised = Math.round((at(time_s, time_s.length - 1) - at(time_s, 0) - silent_s) / usual_s) + 1;
  if (!(time_s.length < (1 - MISSING_PART) * promised)) return [];
  const text = `Only ${time_s.length} readings came in the hold where the gauge's own rate promises ${promised}: the line loses some.`;
  return [remark("gap", text, { readings: time_s.length, promised, interval_s: usual_s })];
}
