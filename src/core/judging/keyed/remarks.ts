import { signOf } from "../../methods/limits.ts";
import { conformance } from "../decide.ts";
import { groundwaterRemarks } from "../groundwater.ts";
import { type Wording, wordingOf } from "../reasons.ts";
import { type Remark, remark } from "../weatherRemarks.ts";
import { LATE_s } from "./calls.ts";
import { EYE_Pa, uReading_Pa } from "./eye.ts";
import type { KeyedCase } from "./keyedCase.ts";
import type { Measured } from "./measured.ts";
import { slowing } from "./slowing.ts";
import { risesIn } from "./spoilers.ts";

export function keyedRemarks(input: KeyedCase, measured: Measured): Remark[] {
  const words = wordingOf(input.start.limits);
  const { limits } = input.start;
  return [
    settled(input, words),
    ...fineness(input, measured, words),
    ...borderline(measured, words),
    ...rising(input, words),
    ...late(input, words),
    ...zero(input, words),
    ...groundwaterRemarks({ input: { limits }, sign: signOf(limits) }),
  ];
}

/** A dozen readings cannot show what hundreds can; what they do show is whether the fall slows down. */
function settled(input: KeyedCase, words: Wording): Remark {
  const eye_Pa = input.start.gauge.resolution_Pa ?? EYE_Pa;
  const seen = slowing(input);
  const so = `Read by eye, ${input.readings} readings, each to ± ${words.pressure(eye_Pa)}: so few cannot prove that the air had settled.`;
  if (seen === null) return remark("unsettled-start", `${so} There are no minutes to compare.`, { eye_Pa, readings: input.readings });
  const { early_Pa_s, late_Pa_s, slower_Pa_s, u_Pa_s } = seen;
  const tenth_Pa = eye_Pa / 10;
  const perMinute = (rate_Pa_s: number): string => `${words.change(tenth_Pa * Math.round((60 * rate_Pa_s) / tenth_Pa))}/min`;
  const minutes = `First stretch ${perMinute(-early_Pa_s)}, last ${perMinute(-late_Pa_s)}`;
  const meaning =
    Math.abs(slower_Pa_s) <= 2 * u_Pa_s
      ? "no change that an eye could tell"
      : slower_Pa_s > 0
        ? "the fall slows down, as with cooling air, which adds to the drop"
        : "the fall quickens, as after bleeding or in a warming pipe, which hides a leak";
  return remark("unsettled-start", `${so} ${minutes}: ${meaning}.`, { eye_Pa, readings: input.readings, early_Pa_s, late_Pa_s, u_Pa_s });
}

/** EN 1610 wants the drop to a tenth of what is permitted; the same measure is laid on an eye. */
function fineness({ start }: KeyedCase, { u_drop_Pa }: Measured, words: Wording): Remark[] {
  const tenth_Pa = 0.1 * start.limits.permittedDrop_Pa;
  const resolution_Pa = start.gauge.resolution_Pa ?? EYE_Pa;
  if (u_drop_Pa === null || (2 * u_drop_Pa <= tenth_Pa && resolution_Pa <= tenth_Pa)) return [];
  const text = `An eye is coarse for this method: drop known to ± ${words.pressure(2 * u_drop_Pa)}, a tenth of the permitted drop is ${words.pressure(tenth_Pa)}.`;
  return [remark("gauge-too-coarse", text, { resolution_Pa, u_drop_Pa, tenth_Pa })];
}

function borderline({ margin }: Measured, words: Wording): Remark[] {
  if (margin === null) return [];
  const p = conformance(margin);
  if (p <= 0.05 || p >= 0.95) return [];
  const text = `The result lies within an eye's error of the limit (${Math.round(100 * p)} % that the drop conforms): ${words.pressure(Math.abs(margin.margin_Pa))} ${margin.margin_Pa < 0 ? "over" : "inside"} it, known to ± ${words.pressure(2 * margin.u_Pa)}.`;
  return [remark("borderline", text, { margin_Pa: margin.margin_Pa, u_drop_Pa: margin.u_Pa, probability: p })];
}

function rising(input: KeyedCase, words: Wording): Remark[] {
  const rise_Pa = risesIn(input);
  if (rise_Pa <= 0) return [];
  return [remark("rising-curve", `The tube rose by ${words.pressure(rise_Pa)} during the hold: warming can hide a leak.`, { rise_Pa })];
}

function late({ answers }: KeyedCase, words: Wording): Remark[] {
  const delays = answers.flatMap(({ call_s, at_s }) => (at_s !== null && at_s - call_s > LATE_s ? [at_s - call_s] : []));
  if (delays.length === 0) return [];
  const longest_s = Math.max(...delays);
  const text = `${delays.length} of ${answers.length} readings were entered late, by up to ${words.duration(longest_s)}; each counts for when it was entered.`;
  return [remark("gap", text, { late: delays.length, longest_s })];
}

function zero({ zero_Pa, opened, proven, start }: KeyedCase, words: Wording): Remark[] {
  const shown_Pa = zero_Pa ?? (proven ? (opened?.size_Pa ?? null) : null);
  if (shown_Pa === null || Math.abs(shown_Pa) <= 2 * uReading_Pa({ looks: 2 }, start.gauge)) return [];
  const text = `The tube read ${words.change(shown_Pa)} with the pipe open; a difference cancels it.`;
  return [remark("zero-offset", text, { zero_Pa: shown_Pa })];
}
