import type { Limits } from "../methods/limits.ts";
import type { VerdictWord } from "../record.ts";
import type { Cleaned } from "./clean.ts";
import type { History } from "./history.ts";
import type { Settled } from "./holdCase.ts";
import { type Moment, momentsOf, settledAt } from "./moments.ts";

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
/** A hold that lacks no more than this was begun a little before the pressure had settled, rather than cut short. */
const NEARLY_WHOLE = 0.95;
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

/** When a hold that begins at a moment may have ended. */
type Ending = (list: readonly Moment[] | undefined, end_s: number) => Moment[];

/** No shorter look at a pipe shows that the permitted drop was used up, s. */
const LEAST_HOLD_S = 20;

/**
 * Once the permitted drop is used up nothing is gained by holding on: what begins in the newest stretch may end there, if that stretch began
 * above the start band, as a leaking pipe is charged to be timed. A little air put in below that was put into a hold.
 */
function endings(history: History, newest: readonly Moment[], limits: Limits): Ending {
  const from_s = history.stretches.at(-1)?.from_s ?? 0;
  const left_Pa = newest.at(-1)?.off_Pa ?? 0;
  const charged = (newest[0]?.off_Pa ?? 0) > limits.startTolerance_Pa;
  const usedUp = (m: Moment, end_s: number): boolean =>
    charged && m.at_s >= from_s && end_s - m.at_s >= LEAST_HOLD_S && m.off_Pa - left_Pa > limits.permittedDrop_Pa;
  return (list, end_s) => (list ?? []).filter((m) => hasRoom(m, end_s, limits) || usedUp(m, end_s));
}

const hasRoom = (m: Moment, end_s: number, { hold_s }: Limits): boolean => m.at_s <= end_s - hold_s + 0.5;

/**
 * A crew starts at the test pressure, once settled, and opens the pipe when the hold is over; so the moment nearest the test pressure is
 * taken, in the newest stretch that has room for a hold. What was done before that stretch belongs to the settling.
 */
export function candidatesOf(cleaned: Cleaned, history: History, limits: Limits, asRun_s: number | null = null): Candidates {
  const stretches = [...history.stretches].reverse();
  const seen = momentsOf(cleaned, history, limits).reverse();
  const proper = seen.map((list) => list.filter((m) => m.served && m.settled && m.inBand));
  const ending = endings(history, seen[0] ?? [], limits);
  const roomy = seen.findIndex((list, i) => ending(list, stretches[i]?.to_s ?? 0).some((m) => m.served && m.inBand));
  const upTo = roomy < 0 ? seen.length : roomy + 1;
  const whole = [
    ...proper.slice(0, upTo).map((list, i) => ending(list, stretches[i]?.to_s ?? 0)),
    ...(roomy < 0 ? proper.map((list) => ending(list, history.release_s)) : []),
  ].find((list) => list.length > 0);
  const found = whole
    ? properIn(whole, history, limits)
    : withoutProper(seen.slice(0, upTo), proper.slice(0, upTo), ending, history, limits);
  const asRun =
    asRun_s === null ? null : startAt(seen.find((list) => (list[0]?.at_s ?? 0) <= asRun_s)?.find((m) => m.at_s >= asRun_s - 0.5));
  const others = found.starts.filter((s) => s !== null && (asRun === null || s.moment.at_s + limits.hold_s > asRun.moment.at_s));
  const starts = [asRun, ...others].filter((s) => s !== null);
  return {
    holds: starts.map((s) => candidateAt(history, limits, seen, s)),
    told: found.told ? Math.max(0, starts.indexOf(found.told)) : 0,
    settledOff: proper.some((list) => list.length > 0) ? null : (seen[0]?.find((m) => m.served && m.settled) ?? null),
    unsettledUntil_s: whole ? null : (ending(seen[0], history.release_s).findLast((m) => m.served && m.inBand)?.at_s ?? null),
  };
}

/** The nearest to the test pressure; where no hold had its full time, the first one too, which has lost the most. */
function properIn(list: readonly Moment[], { release_s }: History, limits: Limits): Found {
  const full = list.some((m) => hasRoom(m, release_s, limits));
  return { starts: [startAt(nearest(list, limits)), full ? null : startAt(list[0], false)], told: null };
}

/** The first of the holds that proves something: that the section fails, or, when the crew may have meant it, whatever it shows. */
export function provenBy<T>(holds: readonly Candidate[], judge: (candidate: Candidate) => T, wordOf: (judged: T) => VerdictWord): T | null {
  for (const candidate of holds) {
    const judged = judge(candidate);
    const word = wordOf(judged);
    if (word === "fail" || (candidate.meant && word !== "void")) return judged;
  }
  return null;
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
  ending: Ending,
  { release_s, collapse }: History,
  limits: Limits,
): Found {
  const cut = proper.find((list) => list.length > 0) ?? [];
  const cutShort = [startAt(nearest(cut, limits)), startAt(cut[0])];
  const lasted_s = release_s - (cut[0]?.at_s ?? release_s);
  const started = seen.map((list) => ending(list, release_s));
  const list = started.find((l) => l.some((m) => m.served)) ?? started.find((l) => l.length > 0) ?? [];
  const doubtful = doubtfulIn(list, limits, release_s);
  if (cut.length > 0 && (collapse !== null || lasted_s >= MEANT_PART * limits.hold_s)) {
    const nearlyWhole = collapse === null && lasted_s >= NEARLY_WHOLE * limits.hold_s;
    return { starts: [...(nearlyWhole ? doubtful.starts : []), ...cutShort], told: cutShort[0] ?? null };
  }
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
  const opened = inBand.filter((m) => m.at_s >= release_s - limits.hold_s - OPENED_WITHIN_S);
  return { starts: [startAt(nearest(opened, limits)), startAt(inBand[0], meant), told], told };
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

function candidateAt(history: History, limits: Limits, seen: readonly Moment[][], { moment, meant }: Start): Candidate {
  const to_s = Math.min(history.release_s, moment.at_s + limits.hold_s);
  const list = seen.find((l) => l.includes(moment)) ?? [];
  return { hold: { from_s: moment.at_s, to_s }, settled: settledAt(history, list, moment), meant };
}
