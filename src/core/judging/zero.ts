import { at } from "../curve.ts";
import type { Span } from "./drift.ts";
import type { HoldCase } from "./holdCase.ts";
import { indexFrom, median } from "./lineAt.ts";

/** What the gauge showed with nothing on it. */
export interface Zero {
  /** Median before the pump began, Pa; `null` with fewer than five readings. */
  before_Pa: number | null;
  /** Median once the opened gauge was at rest again, Pa; `null` when it was not seen to be, or was too far off to be a zero. */
  after_Pa: number | null;
  /** Part of the drop that a zero wandering evenly from before the charge to after the release made up: + adds, − hides. */
  share_Pa: number | null;
}

export type ZeroCase = Pick<HoldCase, "curve" | "limits" | "phases" | "gauge">;

/** An opened pipe needs this long before its gauge is at rest; the zero is read off what follows, s. */
const AT_REST_S = 10;
/** More than this part of the test pressure after the release is air still in the pipe, not a zero. */
const ZERO_PART = 0.02;

/** A zero that still moves by more than this part of its shift is not at rest. */
const RESTING_PART = 0.1;

export function zeroOf({ curve, limits, phases, gauge }: ZeroCase, hold: Span, sign: 1 | -1): Zero {
  const idle = phases.find((p) => p.phase === "idle");
  const vent = phases.findLast((p) => p.phase === "vent");
  const before = idle && idle.to_s <= hold.from_s ? steady(curve, idle.from_s, idle.to_s - 1) : null;
  const before_Pa = before?.value ?? null;
  const after = vent && vent.from_s >= hold.to_s ? steady(curve, vent.from_s + AT_REST_S, vent.to_s) : null;
  const weather_Pa = before && after ? weatherOf(curve, gauge.reference, before.at_s, after.at_s) : 0;
  if (weather_Pa === null) return { before_Pa, after_Pa: null, share_Pa: null };
  const shift_Pa = after && before ? after.value - before.value - weather_Pa : 0;
  const rests = after !== null && after.moved_Pa <= Math.max(after.scatter_Pa, RESTING_PART * Math.abs(shift_Pa));
  if (!before || !after || Math.abs(shift_Pa) > ZERO_PART * Math.abs(limits.test_Pa) || !rests)
    return { before_Pa, after_Pa: null, share_Pa: null };
  const part = (hold.to_s - hold.from_s) / (after.at_s - before.at_s);
  return { before_Pa, after_Pa: after.value, share_Pa: -sign * shift_Pa * part };
}

/** Open to the air, an absolute gauge shows what the barometer did since its zero was stored. `null`: nobody knows how much. */
function weatherOf(
  { time_s, ambient_Pa }: HoldCase["curve"],
  reference: "vented" | "absolute",
  from_s: number,
  to_s: number,
): number | null {
  if (reference === "vented") return 0;
  if (ambient_Pa === null) return null;
  const around = (at_s: number): number =>
    median(ambient_Pa.subarray(indexFrom(time_s, at_s - 5), indexFrom(time_s, at_s + 5)).filter(Number.isFinite));
  const moved_Pa = around(to_s) - around(from_s);
  return Number.isFinite(moved_Pa) ? moved_Pa : null;
}

interface Steady {
  value: number;
  at_s: number;
  /** Between its first and second half, Pa: much of it means that something is still running out. */
  moved_Pa: number;
  scatter_Pa: number;
}

function steady({ time_s, pressure_Pa }: HoldCase["curve"], from_s: number, to_s: number): Steady | null {
  const from = indexFrom(time_s, from_s);
  const to = indexFrom(time_s, to_s + 1e-9);
  if (to - from < 5) return null;
  const values = pressure_Pa.subarray(from, to);
  const middle = values.length >> 1;
  const value = median(values);
  const scatter = median(values.map((v) => Math.abs(v - value)));
  const moved = Math.abs(median(values.subarray(0, middle)) - median(values.subarray(middle)));
  return { value, at_s: (at(time_s, from) + at(time_s, to - 1)) / 2, moved_Pa: moved, scatter_Pa: scatter };
}
