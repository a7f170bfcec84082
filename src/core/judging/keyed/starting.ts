import { trimAdvice } from "../trim.ts";
import { Calls } from "./calls.ts";
import { OPEN_PART, TELL_BEFORE_s } from "./charging.ts";
import { EYE_Pa, type KeyedReading } from "./eye.ts";
import type { KeyedFigures } from "./phases.ts";
import type { KeyedState } from "./stage.ts";

/** After a correction the air gives part of it back; hands are off this long at least and at most, s. */
const REST_LEAST_s = 30;
const REST_MOST_s = 180;
/** Three time constants leave a twentieth of it. */
const REST_TIMES = 3;
/** A crew that does not answer is called again, s. */
const AGAIN_s = 60;
/** Of the permitted drop, what a correction may still give back when the clock starts. */
const ALLOWANCE_PART = 0.05;

/** Brings the tube to the test pressure, keeps hands off while the air gives back, starts the clock on a reading called for. */
export function starting(state: KeyedState, figures: KeyedFigures, reading: KeyedReading, starts: boolean): void {
  const { prompts, test_Pa, tolerance_Pa } = figures;
  const { stage } = state;
  const { at_s, size_Pa } = reading;
  const called = state.calledAt_s !== null;
  const rested = state.restsUntil_s !== null && at_s >= state.restsUntil_s;
  state.calledAt_s = null;
  if (starts) return begin(state, figures, reading);
  if (size_Pa < OPEN_PART * test_Pa) {
    state.charged_s = null;
    state.restsUntil_s = null;
    return stage.enter("charge", at_s, prompts.charge(), "The charge is gone: it is charged again.");
  }
  const inside = Math.abs(size_Pa - test_Pa) <= tolerance_Pa + 1e-6;
  if (inside && (rested || (called && untouched(state, figures)))) return begin(state, figures, reading);
  if (state.restsUntil_s !== null && !rested) return stage.say(prompts.rest(state.restsUntil_s - at_s), at_s);
  state.restsUntil_s = null;
  const { asked } = state;
  if (inside || (asked !== null && Math.abs(size_Pa - asked.to_Pa) <= tolerance_Pa))
    return rest(state, figures, at_s, asked?.wait_s ?? restOf(figures.tau_s));
  advise(state, figures, at_s, size_Pa);
}

/** The clock starts on this reading. */
export function begin(state: KeyedState, { limits, prompts }: KeyedFigures, { at_s, size_Pa }: KeyedReading): void {
  state.hold = { from_s: at_s, to_s: at_s + limits.hold_s };
  state.calls = new Calls(limits.hold_s);
  state.calledAt_s = null;
  state.stage.enter("hold", at_s, prompts.hold(state.calls.next_s ?? limits.hold_s), `The clock runs from ${prompts.figure(size_Pa)}.`);
}

export function startingTime(state: KeyedState, now_s: number, { prompts }: KeyedFigures): void {
  const { calledAt_s, restsUntil_s, stage } = state;
  if (calledAt_s !== null && now_s >= calledAt_s + AGAIN_s) state.callAgain(now_s);
  if (restsUntil_s === null || now_s < restsUntil_s || calledAt_s !== null) return;
  stage.say(prompts.start(), now_s);
  state.calledAt_s = now_s;
}

function rest(state: KeyedState, { prompts }: KeyedFigures, at_s: number, asked_s: number): void {
  const wait_s = Math.max(REST_LEAST_s, asked_s);
  state.asked = null;
  state.restsUntil_s = at_s + wait_s;
  state.stage.say(prompts.rest(wait_s), at_s);
}

const restOf = (tau_s: number): number => Math.min(REST_MOST_s, Math.max(REST_LEAST_s, REST_TIMES * tau_s));

function advise(state: KeyedState, figures: KeyedFigures, at_s: number, now_Pa: number): void {
  const { prompts, test_Pa, charge_Pa, tolerance_Pa, tau_s, limits } = figures;
  const advice = trimAdvice({
    now_Pa,
    fall_Pa_s: Math.max(0, fallSeen_Pa_s(state)),
    test_Pa,
    tolerance_Pa,
    tau_s,
    allowance_Pa: ALLOWANCE_PART * limits.permittedDrop_Pa,
    pending_Pa: 0,
    shows_s: restOf(tau_s),
    charge_Pa,
  });
  const hands = advice.do === "pump" || advice.do === "bleed";
  state.asked = hands ? advice : null;
  state.stage.say(hands ? prompts.toTest(advice.do, advice.to_Pa) : prompts.toTest("wait", test_Pa), at_s);
}

/** Between the last two readings with nothing done between them. */
function fallSeen_Pa_s({ readings, touches }: KeyedState): number {
  const [before, last] = readings.slice(-2);
  if (before === undefined || last === undefined || last.at_s <= before.at_s) return 0;
  if (touches.some(({ at_s }) => at_s >= before.at_s && at_s <= last.at_s)) return 0;
  return (before.size_Pa - last.size_Pa) / (last.at_s - before.at_s);
}

/** The reading before is of the last minute or two, nothing was typed to have been done since, and no step lies between them. */
function untouched({ readings, touches }: KeyedState, { tolerance_Pa }: KeyedFigures): boolean {
  const [before, last] = readings.slice(-2);
  if (before === undefined || last === undefined) return false;
  if (last.at_s - before.at_s > 2 * TELL_BEFORE_s || touches.some(({ at_s }) => at_s >= before.at_s)) return false;
  return Math.abs(before.size_Pa - last.size_Pa) <= tolerance_Pa + 2 * EYE_Pa;
}
