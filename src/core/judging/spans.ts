import type { PhaseSpan } from "../record.ts";
import type { Span } from "./drift.ts";
import type { History } from "./history.ts";

/** Charging, settling and topping up as spans for people; the hold is laid over them. */
export function phasesOf(history: History, hold: Span | null, end_s: number): PhaseSpan[] {
  const { charge, actions, release_s, released } = history;
  if (charge === null) return end_s > 0 ? [{ phase: "idle", from_s: 0, to_s: end_s }] : [];
  const spans: PhaseSpan[] = [{ phase: "idle", from_s: 0, to_s: charge.from_s }];
  spans.push({ phase: "charge", from_s: charge.from_s, to_s: charge.to_s });
  let now_s = charge.to_s;
  const until_s = hold?.from_s ?? release_s;
  for (const a of actions.filter((a) => a.to_s <= until_s)) {
    if (a.from_s > now_s) spans.push({ phase: "settle", from_s: now_s, to_s: a.from_s });
    spans.push({ phase: "trim", from_s: Math.max(now_s, a.from_s), to_s: a.to_s });
    now_s = a.to_s;
  }
  if (until_s > now_s) spans.push({ phase: "settle", from_s: now_s, to_s: until_s });
  if (hold) spans.push({ phase: "hold", from_s: hold.from_s, to_s: hold.to_s });
  if (hold && release_s > hold.to_s) spans.push({ phase: "idle", from_s: hold.to_s, to_s: release_s });
  if (released && end_s > release_s) spans.push({ phase: "vent", from_s: release_s, to_s: end_s });
  return spans.filter((s) => s.to_s > s.from_s);
}
