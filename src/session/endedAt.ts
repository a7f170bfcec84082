import type { Driver } from "../core/driver.ts";
import type { Verdict } from "../core/record.ts";
import type { Film } from "../core/replay/film.ts";
import { fold, startFold } from "./fold.ts";

/** Folding so many takes about a second. */
const MOST_EVENTS = 60_000;

/**
 * What the verdict would be had somebody stopped the test right after event `index`: the tape folded again up to there, since a judge cannot be
 * set back. At the end it is the verdict itself. `null` so far in that it would keep the viewer waiting.
 */
export function endedAt(film: Film, driver: Driver, unfiltered: boolean, index: number): Verdict | null {
  if (index >= film.length - 1) return film.verdict;
  if (index >= MOST_EVENTS) return null;
  const folding = startFold(driver, film.start, unfiltered);
  let at_ms = film.from_ms;
  for (let i = 0; i <= index; i++) at_ms = fold(folding, film.tape.event(i)).event.at_ms;
  return folding.judge.end("user", "stopped here", at_ms);
}
