import type { SealedHead } from "../storage/sealHead.ts";
import { field, has, type Kinds } from "../storage/shape.ts";

/** Steps of the wall clock while a record was made, as sealed with it. */
export interface ClockJumps {
  count: number;
  /** The first fifty, seconds; + forward. */
  by_s: number[];
}

const JUMP: Kinds = { seq: "number", by_ms: "number" };

/** `null`: none, or the head says nothing of clocks. */
export function clockJumpsOf(head: SealedHead | null): ClockJumps | null {
  const clock = field(head, "clock");
  const [jumps, count] = [field(clock, "jumps"), field(clock, "jump_count")];
  if (!Array.isArray(jumps) || typeof count !== "number" || count <= 0) return null;
  const by_s = jumps.filter((one) => has(one, JUMP)).map((one) => Number(field(one, "by_ms")) / 1000);
  return { count, by_s };
}

const DAY_S = 86_400;

/** `1 d 2:03:04`, `0:59:59`: whole seconds. */
export function spanText(seconds: number): string {
  const whole = Math.round(Math.abs(seconds));
  const two = (n: number): string => String(n).padStart(2, "0");
  const days = Math.floor(whole / DAY_S);
  const rest = whole % DAY_S;
  const clock = `${Math.floor(rest / 3600)}:${two(Math.floor((rest % 3600) / 60))}:${two(rest % 60)}`;
  return days === 0 ? clock : `${days} d ${clock}`;
}

/** Readings are timed by another clock, so a verdict does not depend on it. */
export function jumpsText({ count, by_s }: ClockJumps): string {
  const steps = by_s.slice(0, 5).map((step_s) => `${spanText(step_s)} ${step_s < 0 ? "back" : "forward"}`);
  const more = count > steps.length ? `, … (${count} times)` : "";
  return `the time of day was set while it was recorded: ${steps.join(", ")}${more}; readings are timed by another clock`;
}
