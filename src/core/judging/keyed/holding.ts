import { LATE_s } from "./calls.ts";
import type { KeyedReading } from "./eye.ts";
import { EYE_Pa } from "./eye.ts";
import type { KeyedFigures } from "./phases.ts";
import type { KeyedState } from "./stage.ts";

/** The last reading is waited for this long, s; then there is none. */
const END_WAIT_s = 60;
/** Of the test pressure: an opened tube that shows more is not open. */
const OPENED_PART = 0.02;
/** Or so many times what an eye may err by. */
const OPENED_EYES = 3;

/** A figure hard to believe is waited for this long to be put right, s; then it counts as it was typed. */
const DOUBT_s = 30;
/** A rise by more than so many times what an eye may err by is hard to believe. */
const RISE_EYES = 3;

/** A reading of the hold; each counts for when Enter was pressed. */
export function holding(state: KeyedState, figures: KeyedFigures, reading: KeyedReading): void {
  const { hold, calls, doubt } = state;
  if (hold === null || calls === null) return;
  const { at_s, size_Pa } = reading;
  if (doubt !== null && Math.abs(doubt.size_Pa - size_Pa) <= 1.5 * EYE_Pa) return settleDoubt(state, figures);
  const late_s = calls.answered(at_s - hold.from_s);
  state.calledAt_s = calls.waiting ? state.calledAt_s : null;
  if (late_s !== null && late_s > LATE_s) state.turn(at_s, "late", `Entered ${Math.round(late_s)} s after the call: noted.`, null);
  if (isDoubtful(state, figures, reading)) return raiseDoubt(state, figures, reading);
  state.doubt = null;
  // The figure put right belongs to the moment of the first one.
  take(state, figures, doubt === null ? reading : { ...reading, at_s: doubt.at_s });
}

/** A rise, or a fall much faster than the one before it: two digits changed places, or something happened. */
function isDoubtful({ readings }: KeyedState, { limits }: KeyedFigures, { at_s, size_Pa }: KeyedReading): boolean {
  const [earlier, last] = readings.slice(-2);
  if (earlier === undefined || last === undefined) return false;
  const fall_Pa = last.size_Pa - size_Pa;
  if (fall_Pa < -RISE_EYES * EYE_Pa) return true;
  const rate_Pa_s = Math.max(0, (earlier.size_Pa - last.size_Pa) / Math.max(1, last.at_s - earlier.at_s));
  return fall_Pa > 2 * rate_Pa_s * (at_s - last.at_s) + limits.permittedDrop_Pa;
}

function raiseDoubt(state: KeyedState, { prompts }: KeyedFigures, reading: KeyedReading): void {
  const last = state.readings.at(-1);
  state.doubt = reading;
  const before = last === undefined ? "" : ` after ${prompts.figure(last.size_Pa)}`;
  const text = `${prompts.figure(reading.size_Pa)}${before}? Type it again if it is so, else the right figure.`;
  state.turn(reading.at_s, "doubt", text, "ask");
}

/** What was hard to believe is believed. */
export function settleDoubt(state: KeyedState, figures: KeyedFigures): void {
  const { doubt } = state;
  state.doubt = null;
  if (doubt !== null) take(state, figures, doubt);
}

function take(state: KeyedState, figures: KeyedFigures, reading: KeyedReading): void {
  const { hold, calls, stage } = state;
  if (hold === null || calls === null) return;
  state.readings.push(reading);
  state.turn(reading.at_s, "read", `Read: ${figures.prompts.figure(reading.size_Pa)}.`, null);
  if (reading.at_s >= hold.to_s) {
    state.end = reading;
    return over(state, figures, reading.at_s, "The hold is over.");
  }
  if (!calls.waiting) stage.say(figures.prompts.hold(calls.next_s ?? figures.limits.hold_s), reading.at_s);
}

export function holdTime(state: KeyedState, figures: KeyedFigures, now_s: number): void {
  const { hold, calls, stage } = state;
  const { prompts } = figures;
  if (hold === null || calls === null) return;
  if (state.doubt !== null && now_s > state.doubt.at_s + DOUBT_s) settleDoubt(state, figures);
  if (stage.phase !== "hold") return;
  const due_s = calls.due(now_s - hold.from_s);
  if (due_s !== null) {
    const last = calls.next_s === null;
    stage.say(last ? prompts.end() : prompts.call(), now_s);
    state.calledAt_s = now_s;
  }
  if (now_s <= hold.to_s + END_WAIT_s) return;
  calls.giveUp();
  over(state, figures, now_s, "The last reading was not given.");
}

function over(state: KeyedState, { prompts }: KeyedFigures, at_s: number, text: string): void {
  state.calledAt_s = null;
  state.stage.enter("vent", at_s, prompts.vent(), text);
}

/** The pipe is open when the tube has fallen to nothing: that also proves that it saw the pipe. */
export function opening(state: KeyedState, { prompts, test_Pa }: KeyedFigures, reading: KeyedReading): void {
  state.opened ??= reading;
  if (Math.abs(reading.size_Pa) > Math.max(OPENED_PART * test_Pa, OPENED_EYES * EYE_Pa)) {
    return state.stage.say(prompts.notOpen(reading.size_Pa), reading.at_s);
  }
  state.opened = reading;
  state.proven = true;
  state.stage.finished = true;
  state.turn(reading.at_s, "opened", `The tube fell to ${prompts.figure(reading.size_Pa)}: it saw the pipe.`, null);
}
