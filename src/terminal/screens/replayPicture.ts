import type { Verdict } from "../../core/record.ts";
import type { Film } from "../../core/replay/film.ts";
import type { Player } from "../../core/replay/player.ts";
import type { Comparison } from "../../core/verdictDifferences.ts";
import type { Trace } from "../parts/trace.ts";
import { traceIndex } from "../parts/traceIndex.ts";
import { firstState, type TestState } from "./testState.ts";

/** A film and what belongs to it on the screen. */
export interface ReplayFacts {
  film: Film;
  /** The method's own unit, a name of core/units.ts. */
  unit: string;
  /** Those the crew was shown before charging. */
  cautions: readonly string[];
  /** What it was judged to be when it was recorded; `null`: never. */
  before: Verdict | null;
  /** How the verdict that comes out stands to that one; `null`: nothing to compare, or judged by other rules on purpose. */
  comparison: Comparison | null;
  /** What is other than it was, in words: "rule guarded". Empty: nothing. */
  changes: readonly string[];
  /** How it stands to its seal, in a word, and what is not as it was sealed (else empty); `null`: no record. */
  seal: { word: string; what: string } | null;
  /** What it would be, stopped after that event; `null`: too far in to be worked out at once. */
  endedAt(index: number): Verdict | null;
}

export interface ReplayPicture extends ReplayFacts {
  /** The curve after so many readings. */
  traceAt(count: number): Trace;
}

/** The facts with their curve. */
export const pictureOf = (facts: ReplayFacts): ReplayPicture => ({ ...facts, traceAt: lazily(facts.film) });

/** The curve is gathered when it is first drawn. */
function lazily(film: Film): (count: number) => Trace {
  let made: ((count: number) => Trace) | null = null;
  return (count) => {
    made ??= traceIndex(film.readings);
    return made(count);
  };
}

/** Lines of the log a crew's screen keeps; no more are ever shown. */
const TURNS_SHOWN = 8;

interface Place {
  columns: number;
  rows: number;
  colour: boolean;
  turned: number;
}

/**
 * The crew's own screen as it stood then. Its clock is the tape's, so that a figure grows old and cautions change as they did; it follows
 * from the place alone, whichever way that was reached.
 */
export function crewState({ film, unit, cautions, traceAt }: ReplayPicture, { index, at_ms }: Player, place: Place): TestState {
  const { start, tape, views, readings } = film;
  const blank = firstState({ start, unit, cautions, ...place }, film.from_ms);
  return {
    ...blank,
    desk: true,
    view: views.at(index),
    turns: film.turnsUntil(index, TURNS_SHOWN),
    trace: traceAt(readings.countUpTo(index)),
    now_ms: at_ms,
    heard_ms: tape.reached_ms(index),
    turned: place.turned,
    pagesFrom_ms: tape.reached_ms(film.pageOf(index)),
  };
}
