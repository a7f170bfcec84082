/**
 * Several gauges of one test: the one on the pipe, and beside it one that reads the atmosphere or the air inside. They are joined into one
 * driver, so that live, replay and tests fold several lines as they fold one.
 *
 *     line 0  pressure of the pipe ──────────┐
 *     line 1  atmosphere ── newest value ────┼─► reading of line 0 with ambient_Pa and air_C
 *     line 2  pipe temperature ── newest ────┘
 */
import type { Driver, DriverEvent, DriverStep, Reading } from "./driver.ts";

export type BesideRole = "atmosphere" | "pipe-temperature";

export const BESIDE_TITLES: Readonly<Record<BesideRole, string>> = {
  atmosphere: "atmosphere gauge",
  "pipe-temperature": "pipe temperature gauge",
};

export interface Beside {
  role: BesideRole;
  driver: Driver;
}

/** Older values are no longer those of the moment, ms. */
const FRESH_MS = 30_000;
/** Outside it no drain is tested: 5 000 m up there are 540 hPa, the highest ever read at sea level was 1 085 hPa (from memory). */
const ATMOSPHERE_Pa: readonly [number, number] = [50_000, 110_000];
const AIR_C: readonly [number, number] = [-40, 80];

interface Value {
  value: number;
  at_ms: number;
}

interface Joined {
  /** Of each driver, line 0 first. */
  states: readonly unknown[];
  /** When each wants its timer. */
  wakes: readonly (number | null)[];
  /** Of each gauge beside, its newest. */
  newest: readonly (Value | null)[];
  /** Of each gauge beside, whether its value is in the readings; `null`: it never gave one. */
  fresh: readonly (boolean | null)[];
  /** Of each, whether it was told that what it shows cannot be meant. */
  refused: readonly boolean[];
}

/** One driver for all of them; events that came from line n go to the n-th gauge beside. It says of each loss and return. */
export function joinedDriver(main: Driver, beside: readonly Beside[]): Driver {
  if (beside.length === 0) return main;
  const drivers = [main, ...beside.map(({ driver }) => driver)];
  return {
    ...main,
    joined: true,
    start: (): Joined => ({
      states: drivers.map((driver) => driver.start()),
      wakes: drivers.map(() => null),
      newest: beside.map(() => null),
      fresh: beside.map(() => null),
      refused: beside.map(() => false),
    }),
    next: (state, event) => joinedStep(drivers, beside, state as Joined, event),
  };
}

/** The lines an event is for: its own, or those whose timer has come. */
function linesOf({ wakes }: Joined, event: DriverEvent): number[] {
  if (event.kind !== "wake") return [event.line ?? 0];
  const due = wakes.flatMap((at_ms, line) => (at_ms !== null && at_ms <= event.at_ms ? [line] : []));
  return due.length === 0 ? [0] : due;
}

function joinedStep(drivers: readonly Driver[], beside: readonly Beside[], before: Joined, event: DriverEvent): DriverStep<Joined> {
  const notes: string[] = [];
  const out: Pick<DriverStep<Joined>, "readings" | "send" | "unused"> & { beside: { line: number; bytes: Uint8Array }[] } = {
    readings: [],
    send: [],
    unused: 0,
    beside: [],
  };
  let state = before;
  let ofMain: DriverStep<unknown> | null = null;
  for (const line of linesOf(before, event)) {
    const driver = drivers[line];
    if (driver === undefined) continue;
    const step = driver.next(state.states[line], event);
    state = { ...state, states: state.states.with(line, step.state), wakes: state.wakes.with(line, step.wakeAt_ms ?? null) };
    if (line === 0) {
      ofMain = step;
      out.send.push(...step.send);
      out.unused += step.unused;
      for (const reading of step.readings) {
        state = freshness(state, beside, reading.at_ms, notes);
        out.readings.push(filled(state, beside, reading));
      }
    } else {
      out.beside.push(...step.send.map((bytes) => ({ line, bytes })));
      for (const reading of step.readings) state = taken(state, beside, line - 1, reading, notes);
    }
  }
  const wakes = state.wakes.filter((at_ms) => at_ms !== null);
  return {
    state,
    ...out,
    ...(wakes.length === 0 ? {} : { wakeAt_ms: Math.min(...wakes) }),
    ...(notes.length === 0 ? {} : { notes }),
    ...(ofMain?.identity === undefined ? {} : { identity: ofMain.identity }),
    ...(ofMain?.battery_percent === undefined ? {} : { battery_percent: ofMain.battery_percent }),
  };
}

/** A new value of a gauge beside the pipe's. */
function taken(state: Joined, beside: readonly Beside[], i: number, reading: Reading, notes: string[]): Joined {
  const role = beside[i]?.role;
  if (role === undefined) return state;
  const value = role === "atmosphere" ? (reading.ambient_Pa ?? reading.pressure_Pa) : (reading.air_C ?? null);
  if (value === null) return state;
  const [low, high] = role === "atmosphere" ? ATMOSPHERE_Pa : AIR_C;
  if (value >= low && value <= high) return { ...state, newest: state.newest.with(i, { value, at_ms: reading.at_ms }) };
  if (state.refused[i] === true) return state;
  const shown = role === "atmosphere" ? `${Number((value / 100).toPrecision(4))} hPa` : `${Number(value.toPrecision(3))} °C`;
  notes.push(`The ${BESIDE_TITLES[role]} shows ${shown}, which it cannot be: it is left out.`);
  return { ...state, refused: state.refused.with(i, true) };
}

const isFresh = (value: Value | null | undefined, at_ms: number): value is Value => value != null && at_ms - value.at_ms <= FRESH_MS;

/** Says when a gauge beside stops giving values, and when it gives them again. */
function freshness(state: Joined, beside: readonly Beside[], at_ms: number, notes: string[]): Joined {
  const fresh = beside.map((_, i) => (state.newest[i] === null ? null : isFresh(state.newest[i], at_ms)));
  if (fresh.every((one, i) => one === state.fresh[i])) return state;
  for (const [i, { role }] of beside.entries()) {
    const [was, is] = [state.fresh[i], fresh[i]];
    if (was === true && is === false)
      notes.push(`The ${BESIDE_TITLES[role]} has been silent for ${FRESH_MS / 1000} s: the test goes on without it.`);
    else if (was === false && is === true) notes.push(`The ${BESIDE_TITLES[role]} is back.`);
  }
  return { ...state, fresh };
}

/** What a gauge of its own measures comes from it alone: two sensors in one column would step where one falls silent. */
function filled(state: Joined, beside: readonly Beside[], reading: Reading): Reading {
  let whole = reading;
  for (const [i, { role }] of beside.entries()) {
    const newest = state.newest[i];
    const value = isFresh(newest, reading.at_ms) ? newest.value : null;
    whole = role === "atmosphere" ? { ...whole, ambient_Pa: value } : { ...whole, air_C: value };
  }
  return whole;
}
