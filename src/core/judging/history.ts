import { at } from "../curve.ts";
import type { Limits } from "../methods/limits.ts";
import { type Action, pumpings, stepsIn, type Watched } from "./actions.ts";
import type { Cleaned } from "./clean.ts";
import type { Incident } from "./holdCase.ts";
import { indexFrom } from "./lineAt.ts";
import { comesBack, isEmptied, openedAtOnce, slowRelease } from "./release.ts";
import { ALLOWED_PART, HOSE_S } from "./settling.ts";
import { type Seen, watchedOf } from "./watched.ts";

/** A stretch of closed pipe between two things that were done or happened to it. */
export interface Stretch {
  from_s: number;
  to_s: number;
}

/** What the crew did, read off a finished recording. */
export interface History {
  charge: Action | null;
  /** Strokes after the charge, bleeds and steps, in time order. */
  actions: Action[];
  /** First moment the pressure reached the charge band. */
  charged_s: number | null;
  /** Where the pipe was opened at the end, or the last reading. */
  release_s: number;
  released: boolean;
  collapse: Incident | null;
  /** Between charge, actions and release; the newest last. */
  stretches: Stretch[];
  watched: Watched;
}

export function historyOf(cleaned: Cleaned, limits: Limits): History {
  const watched = watchedOf(cleaned, limits);
  const { time_s } = watched;
  const end_s = time_s.at(-1) ?? 0;
  const everyPumping = pumpings(watched);
  const everyFall = everyPumping.flatMap((p, i) => [
    ...openedAtOnce(watched, p),
    ...stepsIn(watched, p.to_s + HOSE_S, everyPumping[i + 1]?.from_s ?? end_s),
  ]);
  const pumped = lastAttempt(watched, everyPumping, everyFall);
  const charge = pumped[0] ?? null;
  const falls = charge === null ? [] : everyFall.filter((f) => f.from_s > charge.to_s);
  const emptied = falls.find((f) => isEmptied(watched, f)) ?? slowRelease(watched, pumped.at(-1)?.to_s ?? end_s);
  const release_s = emptied?.from_s ?? end_s;
  const actions = [...pumped.slice(1), ...falls].filter((a) => a.from_s < release_s).sort((a, b) => a.from_s - b.from_s);
  return {
    charge,
    actions,
    charged_s: charge && chargedAt(watched, limits, charge),
    release_s,
    released: emptied !== undefined,
    collapse: emptied && comesBack(watched, emptied) ? { kind: "collapse", at_s: emptied.from_s, step_Pa: emptied.step_Pa } : null,
    stretches: charge === null ? [] : stretchesOf([charge, ...actions], release_s),
    watched,
  };
}

/** A recording may hold several attempts, each ended by opening the pipe; the last one that reached the test pressure counts. */
function lastAttempt(w: Seen, pumped: readonly Action[], falls: readonly Action[]): Action[] {
  const attempts: Action[][] = [];
  let opened_s = Number.NEGATIVE_INFINITY;
  for (const p of pumped) {
    const opened = falls.some((f) => f.from_s > opened_s && f.from_s < p.from_s && isEmptied(w, f));
    if (attempts.length === 0 || opened) attempts.push([]);
    if (opened) opened_s = p.from_s;
    attempts.at(-1)?.push(p);
  }
  const reached = (p: Action): boolean => at(w.shown_Pa, indexFrom(w.time_s, p.to_s)) >= 0.9 * w.test_Pa;
  return attempts.findLast((attempt) => attempt.some(reached)) ?? attempts.at(-1) ?? [];
}

/** The first time the pressure came into the start band: what was pumped beyond it came seconds later. */
function chargedAt({ time_s, shown_Pa }: Seen, limits: Limits, charge: Action): number | null {
  const band_Pa = Math.abs(limits.test_Pa) - limits.startTolerance_Pa;
  for (let i = indexFrom(time_s, charge.from_s); i < time_s.length; i++) if (at(shown_Pa, i) >= band_Pa) return at(time_s, i);
  return null;
}

function stretchesOf(actions: readonly Action[], release_s: number): Stretch[] {
  return actions.flatMap((action, i) => {
    const to_s = actions[i + 1]?.from_s ?? release_s;
    return to_s > action.to_s ? [{ from_s: action.to_s, to_s }] : [];
  });
}

/** A step or stroke is an incident when it falls into the hold; small ones are weather. */
export function incidentsOf({ actions, charge, collapse, watched }: History): Incident[] {
  const strokes = actions.filter((a) => a !== charge && Math.abs(a.step_Pa) >= 0.5 * ALLOWED_PART * watched.permittedDrop_Pa);
  const found = strokes.map(({ from_s, step_Pa }): Incident => ({ kind: step_Pa > 0 ? "topped-up" : "step", at_s: from_s, step_Pa }));
  return collapse ? [...found, collapse] : found;
}
