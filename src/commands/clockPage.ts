import { plainText } from "../core/text.ts";
import type { SealedHead } from "../storage/sealHead.ts";
import { field, has, type Kinds } from "../storage/shape.ts";
import { clockJumpsOf, jumpsText } from "./clockWords.ts";

const ZONE: Kinds = { name: "string", offset_min: "number" };

/** What was sealed of the clocks of a record, for its page: zone, the longest the program was held up, steps of the time of day. */
export function clockLines(head: SealedHead | null): string[] {
  const jumps = clockJumpsOf(head);
  const parts = [zoneText(field(head, "zone")), delayText(field(field(head, "clock"), "worst_loop_delay_ms"))].filter(
    (text) => text !== null,
  );
  return [...(parts.length === 0 ? [] : [`clock: ${parts.join("; ")}`]), ...(jumps === null ? [] : [`clock: ${jumpsText(jumps)}`])];
}

function zoneText(zone: unknown): string | null {
  if (!has(zone, ZONE)) return null;
  const [name, offset_min] = [plainText(String(field(zone, "name")), 60), Number(field(zone, "offset_min"))];
  const minutes = Math.abs(offset_min);
  const two = (n: number): string => String(n).padStart(2, "0");
  return `tested in zone ${name}, UTC${offset_min < 0 ? "−" : "+"}${two(Math.floor(minutes / 60))}:${two(Math.round(minutes % 60))}`;
}

const delayText = (delay_ms: unknown): string | null =>
  typeof delay_ms === "number" ? `the program was held up for ${Math.round(delay_ms)} ms at most` : null;
