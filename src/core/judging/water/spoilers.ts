import { type Reason, reason, wordingOf } from "../reasons.ts";
import type { Measured } from "./volume.ts";
import type { WaterCase } from "./waterCase.ts";

/** A finding against a result. What can only add to the loss does not spoil a pass, what can only hide it does not spoil a fail. */
export interface WaterSpoiler {
  spoils: "pass" | "fail" | "both";
  reason: Reason;
}

/** Silence this long about a boundary leaves the level there unknown, s. */
const BOUNDARY_s = 30;
/** A top-up may be typed this long before or after its rise is seen, s. */
const TYPED_BEFORE_s = 60;
const TYPED_AFTER_s = 240;
/** The level counts as back at its mark within 5 mm of water. Common practice, no source. */
const BACK_Pa = 50;

/** Below this part of the test head the pipe no longer stands full. Common practice, no source. */
const EMPTY_PART = 0.1;

interface Held {
  input: WaterCase;
  hold: { from_s: number; to_s: number };
  measured: Measured;
  /** The litres are over the limit already, beyond doubt. */
  surelyOver: boolean;
}

/** Everything that stands against the hold as it was made. */
export function waterSpoilers(held: Held): WaterSpoiler[] {
  return [...timing(held), ...startHead(held), ...band(held), ...silence(held), ...unentered(held), ...notBack(held), ...stamps(held)];
}

function timing({ input, hold, surelyOver }: Held): WaterSpoiler[] {
  const found: WaterSpoiler[] = [];
  const { limits } = input.start;
  const words = wordingOf(limits);
  const hold_s = hold.to_s - hold.from_s;
  const spoils = surelyOver ? "pass" : "both";
  if (hold_s < limits.hold_s - input.water.holdTolerance_s) {
    const text = `The level was watched for ${words.duration(hold_s)}, ${words.duration(limits.hold_s)} (± 1 min) are required.`;
    found.push({ spoils, reason: reason("hold-too-short", text, { hold_s, required_s: limits.hold_s }) });
    if (input.interrupted !== null)
      found.push({ spoils, reason: reason("interrupted", `The attempt was broken off: ${input.interrupted}`) });
  }
  const served_s = input.charged_s === null ? 0 : Math.max(0, hold.from_s - input.charged_s);
  // A second of slack: stamps are rounded.
  if (served_s < limits.settle_s - 1) {
    const text = `The pipe was kept full for ${words.duration(served_s)} before, ${words.duration(limits.settle_s)} are required.`;
    found.push({ spoils: "both", reason: reason("settle-too-short", text, { served_s, required_s: limits.settle_s }) });
  }
  return found;
}

function startHead({ input, measured }: Held): WaterSpoiler[] {
  const { water, start, target_Pa } = input;
  const { start_Pa } = measured;
  if (start_Pa === null) return [];
  const slack_Pa = 2 * measured.u_head_Pa;
  const low_Pa = water.told ? Math.max(water.low_Pa, (target_Pa ?? 0) - water.band_Pa) : water.low_Pa;
  const high_Pa = water.told ? Math.min(water.high_Pa, (target_Pa ?? water.high_Pa) + water.band_Pa) : water.high_Pa;
  if (start_Pa >= low_Pa - slack_Pa && start_Pa <= high_Pa + slack_Pa) return [];
  const { pressure } = wordingOf(start.limits);
  const text = `The clock started at ${pressure(start_Pa)}, outside ${pressure(low_Pa)} to ${pressure(high_Pa)} at the top of the pipe.`;
  const figures = { start_Pa, low_Pa, high_Pa };
  // Less head presses less water out, more head more.
  return [{ spoils: start_Pa < low_Pa ? "pass" : "fail", reason: reason("start-out-of-tolerance", text, figures) }];
}

function band({ input, measured }: Held): WaterSpoiler[] {
  const { water, start, target_Pa } = input;
  const { lowest_Pa, highest_Pa } = measured;
  if (target_Pa === null || lowest_Pa === null || highest_Pa === null) return [];
  const { pressure } = wordingOf(start.limits);
  const slack_Pa = 2 * measured.u_head_Pa;
  const found: WaterSpoiler[] = [];
  const out = (spoils: "pass" | "fail", head_Pa: number, where: string): void => {
    const text = `The level went to ${pressure(head_Pa)}, ${where} than ${pressure(water.band_Pa)} from the test head of ${pressure(target_Pa)}.`;
    found.push({ spoils, reason: reason("level-out-of-band", text, { head_Pa, test_Pa: target_Pa, band_Pa: water.band_Pa }) });
  };
  // What went once the pipe was opened went through no joint, so it proves no leak either.
  if (lowest_Pa < EMPTY_PART * target_Pa) {
    const text = `The level fell to ${pressure(lowest_Pa)}: the pipe was opened or a plug let go, and what went then is no loss of the pipe's.`;
    found.push({ spoils: "both", reason: reason("sudden-loss", text, { head_Pa: lowest_Pa, test_Pa: target_Pa }) });
  } else if (lowest_Pa < target_Pa - water.band_Pa - slack_Pa) out("pass", lowest_Pa, "lower by more");
  if (highest_Pa > target_Pa + water.band_Pa + slack_Pa) out("fail", highest_Pa, "higher by more");
  return found;
}

function silence({ input, hold, measured }: Held): WaterSpoiler[] {
  const { keyed, read } = input;
  if (keyed) {
    const cut = hold.to_s - hold.from_s < input.start.limits.hold_s - input.water.holdTolerance_s;
    if (measured.end_Pa !== null || cut) return [];
    const text = "Nobody typed, within a minute of the end, that the level was back at its mark or where it stood.";
    return [{ spoils: "pass", reason: reason("gauge-silent", text) }];
  }
  const times = [hold.from_s, ...measured.levels.map(({ at_s }) => at_s), hold.to_s];
  const gaps = times.slice(1).map((at_s, i) => at_s - (times[i] ?? at_s));
  const lost_s = gaps.filter((gap) => gap > BOUNDARY_s).reduce((sum, gap) => sum + gap, 0);
  const blind = (gaps[0] ?? 0) > BOUNDARY_s || (gaps.at(-1) ?? 0) > BOUNDARY_s;
  if (!blind && lost_s <= 0.1 * (hold.to_s - hold.from_s)) return [];
  const text = `The gauge was silent for ${Math.round(lost_s)} s of the hold${blind ? ", at its beginning or end" : ""}.`;
  return [{ spoils: read && blind ? "both" : "pass", reason: reason("gauge-silent", text, { gap_s: lost_s }) }];
}

/** Water the gauge saw coming in that nobody entered. */
function unentered({ input, measured }: Held): WaterSpoiler[] {
  if (input.read) return [];
  const { pressure } = wordingOf(input.start.limits);
  const unseen = measured.rises.filter(
    ({ from_s, to_s }) =>
      !input.entries.some(({ at_s, litres }) => litres > 0 && at_s >= from_s - TYPED_BEFORE_s && at_s <= to_s + TYPED_AFTER_s),
  );
  const [first] = unseen;
  if (first === undefined) return [];
  const text = `The level rose by ${pressure(first.rise_Pa)} at ${Math.round(first.from_s)} s and no litres were entered for it.`;
  return [{ spoils: "pass", reason: reason("topped-up", text, { rise_Pa: first.rise_Pa, at_s: first.from_s, rises: unseen.length }) }];
}

/** Where the free surface is not known, a level that ends elsewhere than it began is water nobody measured. */
function notBack({ input, measured }: Held): WaterSpoiler[] {
  const { start_Pa, end_Pa, u_head_Pa } = measured;
  if (input.read || input.water.surface_m2 !== null || start_Pa === null || end_Pa === null) return [];
  const off_Pa = end_Pa - start_Pa;
  if (Math.abs(off_Pa) <= BACK_Pa + 2 * u_head_Pa) return [];
  const { pressure } = wordingOf(input.start.limits);
  const text = `At the end the level stood ${pressure(Math.abs(off_Pa))} ${off_Pa < 0 ? "lower" : "higher"} than at the start; that water was not measured.`;
  return [{ spoils: off_Pa < 0 ? "pass" : "fail", reason: reason("level-out-of-band", text, { start_Pa, end_Pa }) }];
}

function stamps({ input, hold }: Held): WaterSpoiler[] {
  const within = input.incidents.filter(({ at_s }) => at_s >= hold.from_s && at_s <= hold.to_s);
  const found: WaterSpoiler[] = [];
  const step = within.find(({ kind }) => kind === "clock-step");
  if (step?.kind === "clock-step") {
    const text = `The clock stepped by ${Math.round(step.step_s)} s during the hold.`;
    found.push({ spoils: "both", reason: reason("clock-stepped", text, { step_s: step.step_s }) });
  }
  if (within.some(({ kind }) => kind === "unit-change"))
    found.push({ spoils: "both", reason: reason("unit-changed", "The gauge changed its unit during the hold.") });
  return found;
}
