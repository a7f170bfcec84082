import { signOf } from "../../methods/limits.ts";
import { groundwaterSpoilers } from "../groundwater.ts";
import { reason, type Wording, wordingOf } from "../reasons.ts";
import type { Spoiler } from "../spoilers.ts";
import { uFall_Pa } from "./eye.ts";
import type { KeyedCase } from "./keyedCase.ts";
import { type Measured, SURE } from "./measured.ts";

/** Left of the start when nearly all is gone, and how much had to be there at the reading before for it to be sudden. */
const GONE_PART = 0.1;
const STOOD_PART = 0.5;

export interface Held {
  input: KeyedCase;
  hold: { from_s: number; to_s: number };
  measured: Measured;
  words: Wording;
}

/** All that stands against the hold, whether or not it spoils this result. */
export function keyedSpoilers(input: KeyedCase, hold: { from_s: number; to_s: number }, measured: Measured): Spoiler[] {
  const held: Held = { input, hold, measured, words: wordingOf(input.start.limits) };
  const { limits } = input.start;
  return [
    ...clock(held),
    ...sudden(held),
    ...touched(held),
    ...silence(held),
    ...length(held),
    ...startBand(held),
    ...served(held),
    ...groundwaterSpoilers({ input: { limits }, sign: signOf(limits) }),
    ...proof(held),
  ];
}

function clock({ input }: Held): Spoiler[] {
  const { clockStep_s } = input;
  if (clockStep_s === null) return [];
  const text = `The stamps jumped by ${Math.round(clockStep_s)} s during the hold, so the hold is not timed.`;
  return [{ reason: reason("clock-stepped", text, { step_s: clockStep_s }), pass: true, fail: true }];
}

/** Between two readings nearly all was lost: opened, or a plug let go. A leak as large would not have stood until then. */
function sudden({ input, hold, words }: Held): Spoiler[] {
  const { held } = input;
  const start_Pa = held[0]?.size_Pa ?? 0;
  const i = held.findIndex(
    ({ size_Pa }, k) => k > 0 && size_Pa < GONE_PART * start_Pa && (held[k - 1]?.size_Pa ?? 0) > STOOD_PART * start_Pa,
  );
  const [before, after] = [held[i - 1], held[i]];
  if (before === undefined || after === undefined) return [];
  const fall_Pa = before.size_Pa - after.size_Pa;
  const text = `${words.pressure(fall_Pa)} went between two readings, ${words.duration(after.at_s - hold.from_s)} into the hold: the pipe was opened or a plug let go.`;
  return [{ reason: reason("sudden-loss", text, { at_s: after.at_s, step_Pa: -fall_Pa }), pass: true, fail: true }];
}

/** Air put in only hides loss, air let out only adds to it. What lifted the tube without a word, pump or sun, hides at least as much. */
function touched({ input, hold, measured, words }: Held): Spoiler[] {
  const { touches, start } = input;
  const within = touches.filter(({ at_s }) => at_s >= hold.from_s && at_s <= (measured.to?.at_s ?? hold.to_s));
  const found: Spoiler[] = [];
  const pumped = within.find(({ kind }) => kind === "pumped");
  const bled = within.find(({ kind }) => kind === "bled");
  const when = (at_s: number): string => words.duration(at_s - hold.from_s);
  if (pumped !== undefined) {
    const text = `The crew put air in ${when(pumped.at_s)} into the hold.`;
    found.push({ reason: reason("topped-up", text, { at_s: pumped.at_s }), pass: true, fail: false });
  }
  if (bled !== undefined) {
    const text = `The crew let air out ${when(bled.at_s)} into the hold.`;
    found.push({ reason: reason("sudden-step", text, { at_s: bled.at_s }), pass: false, fail: true });
  }
  const rise_Pa = risesIn(input);
  const { permittedDrop_Pa } = start.limits;
  if (pumped === undefined && rise_Pa > 0 && (measured.drop_Pa ?? 0) + rise_Pa > permittedDrop_Pa) {
    const text = `The tube rose by ${words.pressure(rise_Pa)} during the hold; without that more than ${words.pressure(permittedDrop_Pa)} would have been lost.`;
    found.push({ reason: reason("topped-up", text, { rise_Pa, drop_Pa: measured.drop_Pa }), pass: true, fail: false });
  }
  return found;
}

/** Rises between neighbouring readings that an eye's error does not explain, together. */
export const risesIn = ({ held, start }: KeyedCase): number =>
  held.slice(1).reduce((sum_Pa, reading, i) => {
    const before = held[i];
    if (before === undefined) return sum_Pa;
    const rise_Pa = reading.size_Pa - before.size_Pa;
    return rise_Pa > SURE * uFall_Pa(before, reading, start.gauge) ? sum_Pa + rise_Pa : sum_Pa;
  }, 0);

/** A call that nobody answered. A fail stands where both ends were read. */
function silence({ input, hold, measured, words }: Held): Spoiler[] {
  const { answers, end, over_s } = input;
  const { tooLate_s } = measured;
  if (tooLate_s !== null) {
    const text = `The last reading was entered ${words.duration(tooLate_s)} late; when the time was up the loss may have been within the limit.`;
    return [{ reason: reason("gauge-silent", text, { late_s: tooLate_s }), pass: false, fail: true }];
  }
  const missed = answers.filter(({ at_s }) => at_s === null).map(({ call_s }) => call_s);
  const whole = over_s >= hold.to_s;
  if (whole && end === null && !measured.surelyOver) {
    const text = "The last reading was called for and never entered.";
    return [{ reason: reason("gauge-silent", text, { missed: missed.length }), pass: true, fail: true }];
  }
  if (missed.length === 0) return [];
  const text = `Nobody answered the call for a reading at ${missed.map(words.duration).join(", ")} into the hold.`;
  return [{ reason: reason("gauge-silent", text, { missed: missed.length }), pass: true, fail: false }];
}

function length({ input, hold, measured, words }: Held): Spoiler[] {
  const { end, over_s, interrupted, start } = input;
  if (end !== null || over_s >= hold.to_s) return [];
  const fail = !measured.surelyOver;
  const hold_s = over_s - hold.from_s;
  const figures = { hold_s, required_s: start.limits.hold_s };
  const text = `The hold lasted ${words.duration(hold_s)} of the required ${words.duration(start.limits.hold_s)}.`;
  const cut: Spoiler = { reason: reason("hold-too-short", text, figures), pass: true, fail };
  if (interrupted === null) return [cut];
  return [{ reason: reason("interrupted", `The attempt was broken off: ${interrupted}`, figures), pass: true, fail }, cut];
}

/** With a drop rule a low start hides loss and a high one adds to it; with a floor it is the other way round. */
function startBand({ input, measured, words }: Held): Spoiler[] {
  const { limits } = input.start;
  const sign = signOf(limits);
  const test_Pa = sign * limits.test_Pa;
  const off_Pa = measured.from.size_Pa - test_Pa;
  if (Math.abs(off_Pa) <= limits.startTolerance_Pa + 1e-6) return [];
  const text = `The hold started at ${words.pressure(measured.from.size_Pa)}, ${words.pressure(Math.abs(off_Pa))} ${off_Pa < 0 ? "below" : "above"} the test pressure of ${words.pressure(test_Pa)}; ± ${words.pressure(limits.startTolerance_Pa)} is allowed.`;
  const figures = { start_Pa: sign * measured.from.size_Pa, test_Pa: limits.test_Pa, tolerance_Pa: limits.startTolerance_Pa };
  const hides = limits.floor_Pa === null ? off_Pa < 0 : off_Pa > 0;
  return [{ reason: reason("start-out-of-tolerance", text, figures), pass: hides, fail: !hides }];
}

function served({ input, hold, words }: Held): Spoiler[] {
  const { charged_s, start } = input;
  const served_s = charged_s === null ? 0 : hold.from_s - charged_s;
  // A second of slack: stamps are rounded.
  if (served_s >= start.limits.settle_s - 1) return [];
  const text = `The pipe was left to settle for ${words.duration(served_s)}, ${words.duration(start.limits.settle_s)} are required.`;
  return [{ reason: reason("settle-too-short", text, { served_s, required_s: start.limits.settle_s }), pass: true, fail: true }];
}

/** Asked for only once the hold is over. */
function proof({ input, hold }: Held): Spoiler[] {
  if (input.proven || (input.end === null && input.over_s < hold.to_s)) return [];
  const text = "Nothing shows that the tube saw the pipe: it was not read with the pipe open after the hold.";
  return [{ reason: reason("gauge-not-proven", text), pass: true, fail: false }];
}
