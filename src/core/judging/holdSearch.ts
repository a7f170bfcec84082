import { at } from "../curve.ts";
import type { Limits } from "../methods/limits.ts";
import type { Cleaned } from "./clean.ts";
import { HOSE_S } from "./evidence.ts";
import type { Settled } from "./holdCase.ts";
import type { History, Stretch } from "./history.ts";
import { indexFrom } from "./lineAt.ts";
import { ALLOWED_PART, airTimeConstant_s } from "./settling.ts";
import { type Coming, fitSettling, type SettlingFit } from "./settlingFit.ts";

/** A hold the crew may have made, and how the section stood when it began. */
export interface Candidate {
  hold: { from_s: number; to_s: number };
  settled: Settled;
}

/** A moment at which the clock could have been started. */
interface Moment {
  at_s: number;
  off_Pa: number;
  served: boolean;
  inBand: boolean;
  settled: boolean;
  coming: Coming | null;
}

/**
 * Holds to be judged, the likeliest first. A crew starts at the test pressure, once settled, and opens the pipe when the hold is over; so the
 * moment nearest the test pressure is taken, in the newest stretch that has one. When no moment was both settled and in the band, the settled
 * one out of the band and the unsettled one in it are both handed on: a start that was too low can still prove a fail, an unsettled one a pass.
 */
export function candidatesOf(cleaned: Cleaned, history: History, limits: Limits): Candidate[] {
  const newestFirst = [...history.stretches].reverse();
  const seen = newestFirst.map((stretch) => momentsOf(cleaned, history, limits, stretch));
  const whole = (list: readonly Moment[], until_s: number): Moment[] => list.filter((m) => m.at_s + limits.hold_s <= until_s + 0.5);
  const proper = seen.map((list) => list.filter((m) => m.served && m.settled && m.inBand));
  const make = (moment: Moment | undefined): Candidate[] => (moment ? [candidateAt(history, limits, seen, moment)] : []);

  for (const [i, list] of proper.entries()) {
    const found = nearest(whole(list, newestFirst[i]?.to_s ?? 0), limits);
    if (found) return make(found);
  }
  for (const list of proper) {
    const found = nearest(whole(list, history.release_s), limits);
    if (found) return make(found);
  }
  const cut = proper.find((list) => list.length > 0);
  const least = seen.find((list) => whole(list, history.release_s).length > 0);
  if (cut && !least?.some((m) => m.inBand && m.at_s + limits.hold_s <= history.release_s)) return [...make(nearest(cut, limits)), ...make(cut[0])];
  return doubtful(least ? whole(least, history.release_s) : (seen[0] ?? []), limits).flatMap(make);
}

/** Starts that break a rule, in the order in which their reasons are told. */
function doubtful(list: readonly Moment[], limits: Limits): Moment[] {
  const ready = list.filter((m) => m.served && m.settled);
  const outOfBand = nearest(ready, limits);
  const unsettled = nearest(
    list.filter((m) => m.inBand),
    limits,
  );
  const last = list.length > 0 ? nearest(list, limits) : undefined;
  return [outOfBand, unsettled, last].filter((m) => m !== undefined).slice(0, 2);
}

/** Nearest to the test pressure; of moments as near as the start band can tell apart, the first. */
function nearest(list: readonly Moment[], limits: Limits): Moment | undefined {
  let least_Pa = Number.POSITIVE_INFINITY;
  for (const m of list) least_Pa = Math.min(least_Pa, Math.abs(m.off_Pa));
  return list.find((m) => Math.abs(m.off_Pa) <= least_Pa + 0.05 * limits.startTolerance_Pa);
}

function momentsOf(cleaned: Cleaned, { watched, charged_s }: History, limits: Limits, stretch: Stretch): Moment[] {
  const from_s = stretch.from_s + HOSE_S;
  const fit = fitOf(cleaned, watched, limits, { from_s, to_s: stretch.to_s });
  const allowed_Pa = ALLOWED_PART * limits.permittedDrop_Pa;
  const test_Pa = Math.abs(limits.test_Pa);
  const sign = limits.direction === "vacuum" ? -1 : 1;
  const { time_s, pressure_Pa } = cleaned.curve;
  const half_s = Math.max(3, 3 * cleaned.interval_s);
  const moments: Moment[] = [];
  let settled = false;
  let low = indexFrom(time_s, from_s);
  let high = low;
  let sum = 0;
  for (let i = low; i < time_s.length && at(time_s, i) <= stretch.to_s; i++) {
    const at_s = at(time_s, i);
    while (high < time_s.length && at(time_s, high) <= Math.min(stretch.to_s, at_s + half_s)) sum += at(pressure_Pa, high++);
    while (at(time_s, low) < at_s - half_s) sum -= at(pressure_Pa, low++);
    const off_Pa = (sign * sum) / (high - low) - test_Pa;
    const coming = fit ? fit.comingAt(at_s, limits.hold_s) : null;
    settled ||= coming !== null && Math.max(coming.high_Pa, -coming.low_Pa) <= allowed_Pa;
    moments.push({
      at_s,
      off_Pa,
      served: charged_s !== null && at_s - charged_s >= limits.settle_s,
      inBand: Math.abs(off_Pa) <= limits.startTolerance_Pa,
      settled,
      coming,
    });
  }
  return moments;
}

function fitOf(cleaned: Cleaned, watched: History["watched"], limits: Limits, stretch: Stretch): SettlingFit | null {
  const guess_s = airTimeConstant_s(limits.dn_mm);
  return fitSettling({
    time_s: watched.time_s,
    size_Pa: watched.size_Pa,
    ...stretch,
    test_Pa: watched.test_Pa,
    shortest_s: Math.max(6, guess_s / 3),
    longest_s: Math.min(250, 3 * guess_s),
    resolution_Pa: cleaned.resolution_Pa,
  });
}

function candidateAt(history: History, limits: Limits, seen: readonly Moment[][], moment: Moment): Candidate {
  const to_s = Math.min(history.release_s, moment.at_s + limits.hold_s);
  const list = seen.find((l) => l.includes(moment)) ?? [];
  const action = [history.charge, ...history.actions].findLast((a) => a !== null && a.to_s <= moment.at_s);
  return {
    hold: { from_s: moment.at_s, to_s },
    settled: {
      charged_s: history.charged_s,
      lastAction_s: action?.to_s ?? null,
      served_s: history.charged_s === null ? null : moment.at_s - history.charged_s,
      settled_s: list.find((m) => m.settled)?.at_s ?? null,
      coming_Pa: moment.coming?.coming_Pa ?? null,
      u_coming_Pa: moment.coming?.u_Pa ?? null,
      tooCoarse: false,
    },
  };
}
