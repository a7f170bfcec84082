import type { KeyedReading } from "./eye.ts";
import type { KeyedFigures } from "./phases.ts";
import type { KeyedState } from "./stage.ts";
import { begin } from "./starting.ts";

/** Part of the test pressure below which the pipe is open. */
export const OPEN_PART = 0.05;
/** So long before the end of settling a first reading is called for, s: with the next it shows whether anybody touched the valve. */
export const TELL_BEFORE_s = 60;

/** The pipe must reach this to count as charged: inside the start tolerance of the charge pressure, never below the test pressure. */
const chargedFrom_Pa = ({ charge_Pa, test_Pa, tolerance_Pa }: KeyedFigures): number =>
  Math.max(Math.min(test_Pa, charge_Pa), charge_Pa - Math.max(tolerance_Pa, 0.02 * charge_Pa));

export function charging(state: KeyedState, figures: KeyedFigures, { at_s, size_Pa }: KeyedReading): void {
  const { prompts, test_Pa } = figures;
  const { stage } = state;
  state.calledAt_s = null;
  if (size_Pa >= chargedFrom_Pa(figures) - 1e-6) {
    state.charged_s = at_s;
    stage.enter("settle", at_s, prompts.settle(), `Charged to ${prompts.figure(size_Pa)}.`);
  } else if (size_Pa > OPEN_PART * test_Pa) {
    if (stage.phase === "idle") stage.enter("charge", at_s, prompts.keepOn(size_Pa), "Charging.");
    else stage.say(prompts.keepOn(size_Pa), at_s);
  } else if (stage.phase === "idle") state.zero_Pa = size_Pa;
}

/** While air goes in a figure is wanted now and then, s. */
const CHARGE_EVERY_s = 60;

export function chargingTime(state: KeyedState, now_s: number, typed_s: number): void {
  if (now_s - Math.max(typed_s, state.calledAt_s ?? 0) >= CHARGE_EVERY_s) state.callAgain(now_s);
}

/** Topping up is allowed while the method's time runs; a charge that is half lost begins anew. */
export function settling(state: KeyedState, figures: KeyedFigures, reading: KeyedReading, starts: boolean): void {
  const { prompts, test_Pa, charge_Pa, tolerance_Pa } = figures;
  const { stage } = state;
  const { at_s, size_Pa } = reading;
  if (starts) return begin(state, figures, reading);
  state.calledAt_s = null;
  if (size_Pa < 0.5 * test_Pa) {
    state.charged_s = null;
    stage.enter("charge", at_s, prompts.charge(), `Only ${prompts.figure(size_Pa)} is left: it is charged again.`);
  } else stage.say(size_Pa < test_Pa - tolerance_Pa ? prompts.topUp(charge_Pa) : prompts.settle(), at_s);
}

export function settlingTime(state: KeyedState, { limits, prompts }: KeyedFigures, now_s: number): void {
  const { stage, charged_s } = state;
  if (charged_s === null) return;
  const over_s = charged_s + limits.settle_s;
  const soon_s = over_s - TELL_BEFORE_s;
  if (now_s >= over_s) {
    stage.enter("trim", now_s, prompts.tell(), "The settling time is over.");
    state.calledAt_s = now_s;
  } else if (limits.settle_s >= 2 * TELL_BEFORE_s && now_s >= soon_s && state.calledAt_s === null && !toldSince(state, soon_s)) {
    stage.say(prompts.tell(), now_s);
    state.calledAt_s = now_s;
  }
}

const toldSince = ({ readings }: KeyedState, from_s: number): boolean => (readings.at(-1)?.at_s ?? Number.NEGATIVE_INFINITY) >= from_s;
