import type { Limits } from "../methods/limits.ts";
import type { Cleaned } from "./clean.ts";
import type { History } from "./history.ts";
import type { Settled } from "./holdCase.ts";
import { type Moment, momentsOf } from "./moments.ts";

/** A hold the crew may have made, and how the section stood when it began. */
export interface Candidate {
  hold: { from_s: number; to_s: number };
  settled: Settled;
  /** Whether a crew may have meant it: only such a hold can prove a section; any can show that it fails. */
  meant: boolean;
}

interface Start {
  moment: Moment;
  meant: boolean;
}

/** A hold cut to less than this part of its time was not a hold the crew meant to make. */
const MEANT_PART = 0.5;
/** A crew opens the pipe within a minute of the end of the hold; common practice, no source. */
const OPENED_WITHIN_S = 60;

/** Holds to be judged in this order, and whose reasons are told when none of them proves anything. */
export interface Candidates {
  holds: Candidate[];
  told: number;
  /** The last moment in the band with room for a whole hold, when the pressure had not settled by then. */
  unsettledUntil_s: number | null;
  /** Where the pressure stood once it had settled, when it was never in the band again. */
  settledOff: Moment | null;
}

/**
 * A crew starts at the test pressure, once settled, and opens the pipe when the hold is over; so the moment nearest the test pressure is
 * taken, in the newest stretch that has one.
 */
export function candidatesOf(cleaned: Cleaned, history: History, limits: Limits): Candidates {
  const stretches = [...history.stretches].reverse();
  const seen = stretches.map((stretch) => momentsOf(cleaned, history, limits, stretch));
  const proper = seen.map((list) => list.filter((m) => m.served && m.settled && m.inBand));
  const ending = (list: readonly Moment[] | undefined, end_s: number): Moment[] =>
    (list ?? []).filter((m) => m.at_s <= end_s - limits.hold_s + 0.5);
  const whole = [
    ...proper.map((list, i) => ending(list, stretches[i]?.to_s ?? 0)),
    ...proper.map((list) => ending(list, history.release_s)),
  ].find((list) => list.length > 0);
  const found = whole ? { starts: [startAt(nearest(whole, limits))], told: null } : withoutProper(seen, proper, ending, history, limits);
  const starts = found.starts.filter((s) => s !== null);
  return {
    holds: starts.map((s) => candidateAt(history, limits, seen, s)),
    told: found.told ? Math.max(0, starts.indexOf(found.told)) : 0,
    settledOff: proper.some((list) => list.length > 0) ? null : (seen[0]?.find((m) => m.served && m.settled) ?? null),
    unsettledUntil_s: whole ? null : (ending(seen[0], history.release_s).findLast((m) => m.served && m.inBand)?.at_s ?? null),
  };
}

interface Found {
  starts: (Start | null)[];
  /** Whose reasons are told; `null`: the first's. */
  told: Start | null;
}

const startAt = (moment: Moment | undefined, meant = true): Start | null => (moment ? { moment, meant } : null);

/** No full hold with a proper start: one that was cut short, or one that started when it should not have. */
function withoutProper(
  seen: readonly Moment[][],
  proper: readonly Moment[][],
  ending: (list: readonly Moment[] | undefined, end_s: number) => Moment[],
  { release_s, collapse }: History,
  limits: Limits,
): Found {
  const cut = proper.find((list) => list.length > 0) ?? [];
  const cutShort = [startAt(nearest(cut, limits)), startAt(cut[0])];
  const lasted_s = release_s - (cut[0]?.at_s ?? release_s);
  if (cut.length > 0 && (collapse !== null || lasted_s >= MEANT_PART * limits.hold_s)) return { starts: cutShort, told: null };
  const started = seen.map((list) => ending(list, release_s));
  const list = started.find((l) => l.some((m) => m.served)) ?? started.find((l) => l.length > 0) ?? [];
  const doubtful = doubtfulIn(list, limits, release_s);
  const starts = [...doubtful.starts, ...cutShort];
  if (starts.some((s) => s !== null)) return { starts, told: doubtful.told };
  return { starts: [startAt(nearest(list.length > 0 ? list : (seen[0] ?? []), limits))], told: null };
}

/**
 * When no moment was both settled and in the band: the earliest in the band can still prove a pass if the crew may have meant it (cooling
 * only adds, and no later start has a larger drop), the settled one nearest the band a fail (a low start only hides).
 */
function doubtfulIn(list: readonly Moment[], limits: Limits, release_s: number): Found {
  const ready = list.filter((m) => m.served && m.settled);
  const inBand = list.filter((m) => m.inBand);
  const meant = ready.length === 0 || inBand.some((m) => m.at_s >= release_s - limits.hold_s - OPENED_WITHIN_S);
  const told = startAt(nearest(ready, limits));
  return { starts: [startAt(inBand[0], meant), told], told };
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

/**
 * A pipe's air does not die down as one exponential (it slows as it settles, the wall lags), so that a large transient is known to a third of
 * it at best. Once settled, what is left is small and lies near the end of the fit.
 */
const MODEL_ERROR = 0.3;

const uncertaintyAt = ({ coming, settled }: Moment): number | null =>
  coming && (settled ? coming.u_Pa : Math.hypot(coming.u_Pa, MODEL_ERROR * coming.coming_Pa));

function candidateAt(history: History, limits: Limits, seen: readonly Moment[][], { moment, meant }: Start): Candidate {
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
      u_coming_Pa: uncertaintyAt(moment),
      tooCoarse: false,
    },
    meant,
  };
}
