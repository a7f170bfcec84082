import { plainText } from "../core/text.ts";
import type { SealedHead } from "../storage/sealHead.ts";
import { field, has, type Kinds } from "../storage/shape.ts";
import { type ClockJumps, clockJumpsOf, jumpsText } from "./clockWords.ts";

const ZONE: Kinds = { name: "string", offset_min: "number" };

/** What was sealed of the clocks of a record; what is missing was not sealed, or is none of ours. */
export interface SealedClock {
  /** Untrusted name; minutes from UTC at its start, east positive. */
  zone?: { name: string; offset_min: number };
  /** The longest the program was held up, ms. */
  worst_loop_delay_ms?: number;
  /** Steps of the time of day while it was recorded. */
  steps?: ClockJumps;
}

/** `null`: the head says nothing of clocks, or there is none. */
export function sealedClock(head: SealedHead | null): SealedClock | null {
  const zone = field(head, "zone");
  const delay_ms = field(field(head, "clock"), "worst_loop_delay_ms");
  const steps = clockJumpsOf(head);
  const found: SealedClock = {
    ...(has(zone, ZONE) ? { zone: { name: String(field(zone, "name")), offset_min: Number(field(zone, "offset_min")) } } : {}),
    ...(typeof delay_ms === "number" ? { worst_loop_delay_ms: delay_ms } : {}),
    ...(steps === null ? {} : { steps }),
  };
  return Object.keys(found).length === 0 ? null : found;
}

/** The same for the record's page. */
export function clockLines(head: SealedHead | null): string[] {
  const { zone, worst_loop_delay_ms, steps } = sealedClock(head) ?? {};
  const parts = [
    ...(zone === undefined ? [] : [zoneText(zone)]),
    ...(worst_loop_delay_ms === undefined ? [] : [`the program was held up for ${Math.round(worst_loop_delay_ms)} ms at most`]),
  ];
  return [...(parts.length === 0 ? [] : [`clock: ${parts.join("; ")}`]), ...(steps === undefined ? [] : [`clock: ${jumpsText(steps)}`])];
}

function zoneText({ name, offset_min }: { name: string; offset_min: number }): string {
  const minutes = Math.abs(offset_min);
  const two = (n: number): string => String(n).padStart(2, "0");
  const offset = `UTC${offset_min < 0 ? "−" : "+"}${two(Math.floor(minutes / 60))}:${two(Math.round(minutes % 60))}`;
  return `tested in zone ${plainText(name, 60)}, ${offset}`;
}
