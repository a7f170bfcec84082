import type { Reference } from "../driver.ts";
import { indexFrom, median } from "../judging/lineAt.ts";
import type { Window } from "./window.ts";

/** The zero is the median of so many seconds, of five readings at least. */
const ZERO_S = 5;
const FEWEST = 5;
/** A vented gauge that shows more than this (50 mmH2O) has something on it; no manometer is that far off. */
const LARGEST_ZERO_Pa = 500;

export type ZeroOutcome = { zero_Pa: number } | { refused: "too-few" | "under-pressure"; level_Pa: number | null };

/** The zero of a gauge open to the air, from what it has just shown. A vented gauge under pressure is refused: its zero would hide it. */
export function zeroFrom({ time_s, value }: Pick<Window, "time_s" | "value">, reference: Reference): ZeroOutcome {
  const last_s = time_s.at(-1);
  if (last_s === undefined || time_s.length < FEWEST) return { refused: "too-few", level_Pa: null };
  const from = Math.min(indexFrom(time_s, last_s - ZERO_S), time_s.length - FEWEST);
  const level_Pa = median(value.subarray(from));
  if (reference === "vented" && Math.abs(level_Pa) > LARGEST_ZERO_Pa) return { refused: "under-pressure", level_Pa };
  return { zero_Pa: level_Pa };
}
