import { LATE_s } from "./calls.ts";
import type { KeyedReading } from "./eye.ts";
import { EYE_Pa } from "./eye.ts";
import type { KeyedFigures } from "./phases.ts";
import type { KeyedState } from "./stage.ts";

/** The last reading is waited for this long, s; then there is none. */
export const END_WAIT_s = 60;
/** Of the test pressure: an opened tube that shows more is not open. */
const OPENED_PART = 0.02;
/** Or so many times what an eye may err by. */
const OPENED_EYES = 3;

export function holding(state: KeyedState, figures: KeyedFigures, reading: KeyedReading): void {
  const { hold, calls, stage } = state;
  if (hold === null || calls === null) return;
  const { at_s } = reading;
  const late_s = calls.answered(at_s - hold.from_s);
  state.calledAt_s = calls.waiting ? state.calledAt_s : null;
  if (late_s !== null && late_s > LATE_s) state.turn(at_s, "late", `Entered ${Math.round(late_s)} s after the call: noted.`, null);
  if (at_s >= hold.to_s) {
    state.end = reading;
    return over(state, figures, at_s, "The hold is over.");
  }
  stage.say(figures.prompts.hold(calls.next_s ?? figures.limits.hold_s), at_s);
}

export function holdTime(state: KeyedState, figures: KeyedFigures, now_s: number): void {
  const { hold, calls, stage } = state;
  const { prompts } = figures;
  if (hold === null || calls === null) return;
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
