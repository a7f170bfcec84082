import { at } from "../curve.ts";
import type { Limits } from "../methods/limits.ts";
import type { Cleaned } from "./clean.ts";
import { HOSE_S } from "./evidence.ts";
import type { History, Stretch } from "./history.ts";
import type { Settled } from "./holdCase.ts";
import { indexFrom } from "./lineAt.ts";
import { ALLOWED_PART } from "./settling.ts";
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

/** A hold cut to less than this part of its time was not a hold the crew meant to make. */
const MEANT_PART = 0.5;
/** A crew opens the pipe within a minute of the end of the hold; common practice, no source. */
const OPENED_WITHIN_S = 60;

/**
 * Holds to be judged, the likeliest first. A crew starts at the test pressure, once settled, and opens the pipe when the hold is over; so the
 * moment nearest the test pressure is taken, in the newest stretch that has one.
 */
export function candidatesOf(cleaned: Cleaned, history: History, limits: Limits): Candidate[] {
  const stretches = [...history.stretches].reverse();
  const seen = stretches.map((stretch) => momentsOf(cleaned, history, limits, stretch));
  const make = (moments: readonly (Moment | undefined)[]): Candidate[] =>
    moments.flatMap((m) => (m ? [candidateAt(history, limits, seen, m)] : []));
  const proper = seen.map((list) => list.filter((m) => m.served && m.settled && m.inBand));
  const lastStart = (until_s: number): number => until_s - limits.hold_s + 0.5;

  for (const [i, list] of proper.entries()) {
    const found = nearest(
      list.filter((m) => m.at_s <= lastStart(stretches[i]?.to_s ?? 0)),
      limits,
    );
    if (found) return make([found]);
  }
  const wholeSeen = seen.map((list) => list.filter((m) => m.at_s <= lastStart(history.release_s)));
  for (const list of proper) {
    const found = nearest(
      list.filter((m) => m.at_s <= lastStart(history.release_s)),
      limits,
    );
    if (found) return make([found]);
  }
  const cut = proper.find((list) => list.length > 0) ?? [];
  const cutShort = [nearest(cut, limits), cut[0]];
  const meant = history.collapse !== null || history.release_s - (cut[0]?.at_s ?? history.release_s) >= MEANT_PART * limits.hold_s;
  const startedInBand = wholeSeen[0]?.some((m) => m.served && m.inBand) ?? false;
  if (cut.length > 0 && meant && !startedInBand) return make(cutShort);
  const whole = wholeSeen.find((list) => list.some((m) => m.served)) ?? wholeSeen.find((list) => list.length > 0);
  const possible = make([...(whole ? doubtful(whole, limits, history.release_s) : []), ...cutShort]);
  return possible.length > 0 ? possible : make([nearest(whole ?? seen[0] ?? [], limits)]);
}

/**
 * When no moment was both settled and in the band: the settled one nearest the band can still prove a fail (a low start only hides), the
 * earliest in the band a pass (cooling only adds, and no later start has a larger drop) if the crew may have meant it.
 */
function doubtful(list: readonly Moment[], limits: Limits, release_s: number): (Moment | undefined)[] {
  const settled = nearest(
    list.filter((m) => m.served && m.settled),
    limits,
  );
  const inBand = list.filter((m) => m.inBand);
  const meant = inBand.some((m) => m.at_s >= release_s - limits.hold_s - OPENED_WITHIN_S);
  return settled ? [settled, meant ? inBand[0] : undefined] : [inBand[0]];
}

/**
 * Nearest to the test pressure; of moments as near as the start band can tell apart the middle one, settled for longer than the first and
 * clear of the release that may follow the last.
 */
function nearest(list: readonly Moment[], limits: Limits): Moment | undefined {
  let least_Pa = Number.POSITIVE_INFINITY;
  for (const m of list) least_Pa = Math.min(least_Pa, Math.abs(m.off_Pa));
  const near = list.filter((m) => Math.abs(m.off_Pa) <= least_Pa + 0.05 * limits.startTolerance_Pa);
  return near[near.length >> 1];
}

function momentsOf(cleaned: Cleaned, { watched, charged_s }: History, limits: Limits, stretch: Stretch): Moment[] {
  const quiet_s = stretch.from_s + HOSE_S;
  const fit = fitOf(cleaned, watched, { from_s: quiet_s, to_s: stretch.to_s });
  const allowed_Pa = ALLOWED_PART * limits.permittedDrop_Pa;
  const test_Pa = Math.abs(limits.test_Pa);
  const sign = limits.direction === "vacuum" ? -1 : 1;
  const { time_s, pressure_Pa } = cleaned.curve;
  const half_s = Math.max(3, 3 * cleaned.interval_s);
  const moments: Moment[] = [];
  let settled = false;
  let low = indexFrom(time_s, stretch.from_s);
  let high = low;
  let sum = 0;
  for (let i = low; i < time_s.length && at(time_s, i) <= stretch.to_s; i++) {
    const at_s = at(time_s, i);
    while (high < time_s.length && at(time_s, high) <= Math.min(stretch.to_s, at_s + half_s)) sum += at(pressure_Pa, high++);
    while (at(time_s, low) < at_s - half_s) sum -= at(pressure_Pa, low++);
    const off_Pa = (sign * sum) / (high - low) - test_Pa;
    const coming = fit && at_s >= quiet_s ? fit.comingAt(at_s, limits.hold_s) : null;
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

function fitOf(cleaned: Cleaned, watched: History["watched"], stretch: Stretch): SettlingFit | null {
  return fitSettling({
    time_s: watched.time_s,
    size_Pa: watched.size_Pa,
    ...stretch,
    test_Pa: watched.test_Pa,
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
