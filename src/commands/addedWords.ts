import { usageError } from "../core/errors.ts";
import { MOST_LITRES } from "../core/judging/water/entries.ts";
import { parseDuration } from "../core/units.ts";

const HINT =
  'Write --added "0.35 L at 72:10": litres, then the time of the recording (m:ss, h:mm:ss, or "72 min"). "-0.1 L at 80:00" was let out.';
const ADDED = /^\s*([+-]?(?:\d+\.?\d*|\.\d+))\s*(?:l|litres?|liters?)?\s+at\s+(.+)$/i;

/** "12:00", "1:12:00" or "72 min" → seconds. */
export function clockFrom(text: string): number {
  const parts = /^\s*(?:(\d{1,3}):)?(\d{1,4}):([0-5]\d(?:\.\d+)?)\s*$/.exec(text);
  if (parts === null) return parseDuration(text);
  return 3600 * Number(parts[1] ?? 0) + 60 * Number(parts[2]) + Number(parts[3]);
}

/** "0.35 L at 12:00" → litres and seconds of the recording. StaunchErrors (64): `added-unreadable`, `litres-absurd`. */
export function addedFrom(text: string): { at_s: number; litres: number } {
  const parts = ADDED.exec(text);
  const quoted = JSON.stringify(text.slice(0, 60));
  if (parts === null) throw usageError("added-unreadable", `--added ${quoted} is no entry.`, HINT);
  const litres = Number(parts[1]);
  if (Math.abs(litres) > MOST_LITRES)
    throw usageError("litres-absurd", `--added ${quoted}: more than ${MOST_LITRES} L at once is a slip.`, HINT);
  return { at_s: clockFrom(parts[2] ?? ""), litres };
}
