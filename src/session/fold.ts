import { BESIDE_TITLES } from "../core/beside.ts";
import type { Driver, DriverEvent, DriverStep, Reading } from "../core/driver.ts";
import type { JournalEvent } from "../core/journal.ts";
import { type HeldZero, heldZeroFor } from "../core/judging/heldZero.ts";
import type { Judge } from "../core/judging/judge.ts";
import { KeyedJudge } from "../core/judging/keyed/keyedJudge.ts";
import { LiveJudge } from "../core/judging/liveJudge.ts";
import type { Turn } from "../core/judging/view.ts";
import { isKeyed, WaterJudge } from "../core/judging/water/waterJudge.ts";
import type { RecordStart } from "../core/record.ts";

/** What one event of the journal led to. */
export interface Update {
  event: JournalEvent;
  /** Those of an absolute gauge less its zero. */
  readings: readonly Reading[];
  /** Queries the driver wants written; a live link obeys, a recording has them already. */
  send: readonly Uint8Array[];
  /** The same for gauges beside the one on the pipe. */
  sendBeside: readonly { line: number; bytes: Uint8Array }[];
  /** The driver's wish for a timer: a time, `null` to have none, `undefined` when it was not asked. */
  wakeAt_ms: number | null | undefined;
  turns: readonly Turn[];
  judge: Judge;
}

/** The state of the fold: one driver, one judge. Only `fold` may move it on. */
export interface Folding {
  driver: Driver;
  driverState: unknown;
  /** `null`: a vented gauge. */
  zero: HeldZero | null;
  batteryTold: boolean;
  judge: Judge;
}

/** `unfiltered`: the judge takes no reading for a spike; for asking "what if", never for a record. */
export const startFold = (driver: Driver, start: RecordStart, unfiltered = false): Folding => ({
  driver,
  driverState: driver.start(),
  zero: heldZeroFor(start.gauge.reference),
  batteryTold: false,
  judge: judgeFor(start, unfiltered),
});

/**
 * Water by its own judge, and air read by eye by its own; a water method of a user's own states no litres and is judged by its drop, as it
 * is worded.
 */
function judgeFor(start: RecordStart, unfiltered: boolean): Judge {
  if (start.limits.water !== undefined) return new WaterJudge(start);
  return isKeyed(start) ? new KeyedJudge(start) : new LiveJudge(start, unfiltered);
}

const NOTHING: readonly never[] = [];

/** One event in, what it led to out: driver first, then judge. Live, replay and tests run this and nothing else. */
export function fold(state: Folding, event: JournalEvent): Update {
  const { judge } = state;
  const asked = driverEvent(event, state.driver.joined);
  let step: DriverStep<unknown> | null = null;
  if (asked !== null) {
    step = state.driver.next(state.driverState, asked);
    state.driverState = step.state;
    if (step.unused > 0) judge.health.unused(step.unused);
    if (step.identity !== undefined) judge.health.named(step.identity);
  }
  // Lines are stamped each by itself: only that of the pipe moves the test on.
  if (isOfPipe(event)) judge.time(event.at_ms, event.wall_ms);
  for (const note of step?.notes ?? NOTHING) judge.phases.turn(judge.seconds(event.at_ms), "beside", note, null);
  if (step?.battery_percent !== undefined) charge(state, step.battery_percent, event.at_ms);
  const readings = zeroed(state, step?.readings ?? NOTHING);
  for (const reading of readings) judge.reading(reading, event.wall_ms);
  tell(state, event);
  return {
    event,
    readings,
    send: step?.send ?? NOTHING,
    sendBeside: step?.beside ?? NOTHING,
    wakeAt_ms: step === null ? undefined : (step.wakeAt_ms ?? null),
    turns: judge.takeTurns(),
    judge,
  };
}

const isOfPipe = ({ line = 0 }: JournalEvent): boolean => line === 0;

/** What of the journal a driver is told; of other gauges than the one on the pipe only a joined one hears. */
export function driverEvent(event: JournalEvent, joined = false): DriverEvent | null {
  if (!joined && !isOfPipe(event)) return null;
  const line = event.line === undefined ? {} : { line: event.line };
  switch (event.kind) {
    case "bytes-in":
      return { kind: "bytes", at_ms: event.at_ms, bytes: event.bytes, ...line };
    case "link-up":
      return { kind: "opened", at_ms: event.at_ms, ...line };
    case "wake":
      return { kind: "wake", at_ms: event.at_ms };
    default:
      return null;
  }
}

const zeroed = ({ zero }: Folding, readings: readonly Reading[]): readonly Reading[] =>
  zero === null ? readings : readings.map((reading) => zero.taken(reading));

/** Below this a battery may not last a hold and its settling. */
const LOW_PERCENT = 15;

/** Told once: a gauge that dies in the hold costs the whole test. */
function charge(state: Folding, percent: number, at_ms: number): void {
  const { judge } = state;
  if (percent > LOW_PERCENT || state.batteryTold) return;
  state.batteryTold = true;
  judge.phases.turn(judge.seconds(at_ms), "battery-low", `The gauge's battery is at ${percent} %: change it before the hold.`, "alarm");
}

/** A gauge beside the pipe's that comes or goes is a note; nothing hangs on it alone. */
function tellBeside(judge: Judge, event: JournalEvent): void {
  const at_s = judge.seconds(event.at_ms);
  const role = judge.start.also?.[(event.line ?? 0) - 1]?.role;
  const name = role === undefined ? `gauge ${(event.line ?? 0) + 1}` : BESIDE_TITLES[role];
  if (event.kind === "link-up") judge.phases.turn(at_s, "beside", `The ${name} is there: ${event.detail}.`, null);
  if (event.kind === "link-down")
    judge.phases.turn(at_s, "beside", `The ${name} is lost: ${event.reason} The test goes on without it.`, "ask");
}

function tell({ judge, zero }: Folding, event: JournalEvent): void {
  if (!isOfPipe(event)) return tellBeside(judge, event);
  switch (event.kind) {
    case "link-up":
      return judge.health.link(true);
    case "link-down":
      judge.health.link(false);
      return judge.phases.turn(judge.seconds(event.at_ms), "link-down", `Gauge lost: ${event.reason}`, "alarm");
    case "key":
      return judge.key(event.action, event.at_ms);
    case "zero":
      return zero === null ? judge.zero(event.zero_Pa) : zero.hold(event.zero_Pa);
    case "end":
      judge.end(event.cause, event.detail, event.at_ms);
      return;
    default:
      return;
  }
}
