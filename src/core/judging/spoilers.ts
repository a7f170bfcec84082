import type { Decision } from "./decide.ts";
import { type Evidence, SURELY_95 } from "./evidence.ts";
import type { Incident } from "./holdCase.ts";
import { type Reason, reason, type Wording, wordingOf } from "./reasons.ts";
import { ALLOWED_PART, GIVEN_BACK } from "./settling.ts";

/**
 * Something held against an attempt. What can only add to the drop leaves a pass standing; what can only hide it leaves a fail
 * standing. A result in between stands against neither.
 */
export interface Spoiler {
  reason: Reason;
  pass: boolean;
  fail: boolean;
}

const both = (r: Reason): Spoiler => ({ reason: r, pass: true, fail: true });

/** A fail stands in spite of doubt when it is this far over the limit; the 8 % is measured, metrology of the drop. */
const FAR_OVER = 1.08;

export const spoils = (spoiler: Spoiler, decision: Decision | null): boolean =>
  decision === "pass" ? spoiler.pass : decision === "fail" ? spoiler.fail : spoiler.pass || spoiler.fail;

/** All that is held against the hold, whether or not it spoils this result. */
export function spoilersOf(evidence: Evidence): Spoiler[] {
  return [
    ...incidentSpoilers(evidence),
    ...silence(evidence),
    ...lengthSpoilers(evidence),
    ...startSpoilers(evidence),
    ...settlingSpoilers(evidence),
    ...driftSpoilers(evidence),
    ...proofSpoilers(evidence),
  ];
}

const incidentSpoilers = ({ inside, input }: Evidence): Spoiler[] =>
  inside.flatMap((incident) => {
    const broke = incidentReason(incident, wordingOf(input.limits));
    return broke ? [both(broke)] : [];
  });

/** What an incident does to any hold it falls into; `null` for a gap, which is weighed by its length. */
export function incidentReason(incident: Incident, words: Wording): Reason | null {
  const { at_s } = incident;
  const when = words.duration(at_s);
  switch (incident.kind) {
    case "topped-up":
      return reason("topped-up", `Air was put in during the hold: ${words.change(incident.step_Pa)} at ${when}.`, {
        at_s,
        step_Pa: incident.step_Pa,
      });
    case "bled":
    case "step": {
      const text = `The pressure stepped by ${words.change(incident.step_Pa)} at ${when}: a plug moved or air was let out.`;
      return reason("sudden-step", text, { at_s, step_Pa: incident.step_Pa });
    }
    case "collapse": {
      const text = `The pressure collapsed by ${words.pressure(Math.abs(incident.step_Pa))} at ${when}: a plug slipped or a line came off.`;
      return reason("sudden-loss", text, { at_s, step_Pa: incident.step_Pa });
    }
    case "clock-step": {
      const text = `The stamps jumped by ${Math.round(incident.step_s)} s at ${when}, so the hold is not timed.`;
      return reason("clock-stepped", text, { at_s, step_s: incident.step_s });
    }
    case "unit-change": {
      const text = `The gauge changed its unit at ${when} (readings changed by a factor of ${Number(incident.factor.toPrecision(4))}).`;
      return reason("unit-changed", text, { at_s, factor: incident.factor });
    }
    case "gap":
      return null;
  }
}

/** Part of the hold that may be without readings when both ends were measured. */
const SILENT_PART = 0.1;

function silence({ inside, hold, length_s, drop, input }: Evidence): Spoiler[] {
  const words = wordingOf(input.limits);
  let silent_s = 0;
  for (const i of inside) {
    if (i.kind === "gap") silent_s += Math.min(hold.to_s, i.at_s + i.gap_s) - Math.max(hold.from_s, i.at_s);
  }
  if (drop.drop_Pa === null) {
    const end = drop.start ? "end" : "start";
    if (silent_s > 0 || drop.start || drop.end)
      return [both(reason("gauge-silent", `The gauge gave no reading at the ${end} of the hold.`, { silent_s }))];
    return [both(reason("bad-readings", "There are too few usable readings in the hold to tell a drop."))];
  }
  if (silent_s <= SILENT_PART * length_s) return [];
  const text = `The gauge was silent for ${words.duration(silent_s)} of the hold, more than a tenth of it.`;
  return [
    {
      reason: reason("gauge-silent", text, { silent_s, hold_s: length_s }),
      pass: true,
      fail: false,
    },
  ];
}

function lengthSpoilers({ short_s, length_s, surelyOver, input }: Evidence): Spoiler[] {
  if (short_s === 0) return [];
  const words = wordingOf(input.limits);
  const figures = { hold_s: length_s, required_s: input.limits.hold_s };
  const lasted = `lasted ${words.duration(length_s)} of the required ${words.duration(input.limits.hold_s)}`;
  const cut: Spoiler = {
    reason: reason("hold-too-short", `The hold ${lasted}.`, figures),
    pass: true,
    fail: !surelyOver,
  };
  if (input.interrupted === null) return [cut];
  return [
    {
      reason: reason("interrupted", `The attempt was broken off: ${input.interrupted}`, figures),
      pass: true,
      fail: !surelyOver,
    },
    cut,
  ];
}

/** Start outside the band. With a drop rule a low start hides loss and a high one adds to it; with a floor it is the other way round. */
function startSpoilers({ drop, input, sign, u_Pa }: Evidence): Spoiler[] {
  if (!drop.start || drop.drop_Pa === null) return [];
  const { limits } = input;
  const test_Pa = sign * limits.test_Pa;
  const off_Pa = drop.start.size_Pa - test_Pa;
  if (Math.abs(off_Pa) <= limits.startTolerance_Pa + drop.start.u_Pa) return [];
  const words = wordingOf(limits);
  const text = `The hold started at ${words.pressure(drop.start.size_Pa)}, ${words.pressure(Math.abs(off_Pa))} ${off_Pa < 0 ? "below" : "above"} the test pressure of ${words.pressure(test_Pa)}; ± ${words.pressure(limits.startTolerance_Pa)} is allowed.`;
  const r = reason("start-out-of-tolerance", text, {
    start_Pa: sign * drop.start.size_Pa,
    test_Pa: limits.test_Pa,
    tolerance_Pa: limits.startTolerance_Pa,
  });
  const hides = limits.floor_Pa === null ? off_Pa < 0 : off_Pa > 0;
  if (hides) return [{ reason: r, pass: true, fail: false }];
  const fromTest_Pa = (drop.drop_Pa * test_Pa) / drop.start.size_Pa;
  return [
    {
      reason: r,
      pass: false,
      fail: fromTest_Pa - SURELY_95 * u_Pa <= limits.permittedDrop_Pa,
    },
  ];
}

/** Transient still to come when the clock started, at worst: what it may add to the drop and what it may hide, Pa. */
export function transientBounds({ input, drop }: Evidence): {
  adds_Pa: number;
  hides_Pa: number;
} {
  const { coming_Pa, u_coming_Pa } = input.settled;
  if (coming_Pa === null) return { adds_Pa: GIVEN_BACK * (drop.start?.size_Pa ?? 0), hides_Pa: 0 };
  const spread = SURELY_95 * (u_coming_Pa ?? 0);
  return {
    adds_Pa: Math.max(0, coming_Pa + spread),
    hides_Pa: Math.max(0, spread - coming_Pa),
  };
}

/** Shown to be settled, or a gauge that cannot show it and time served instead. */
export const isSettled = ({ input, hold }: Evidence): boolean =>
  input.settled.tooCoarse || (input.settled.settled_s !== null && input.settled.settled_s <= hold.from_s + 1e-6);

function settlingSpoilers(evidence: Evidence): Spoiler[] {
  const { input, hold, drop, u_Pa } = evidence;
  const { limits, settled } = input;
  if (drop.drop_Pa === null) return [];
  const words = wordingOf(limits);
  const { adds_Pa, hides_Pa } = transientBounds(evidence);
  const explained = drop.drop_Pa - adds_Pa - 2 * u_Pa <= FAR_OVER * limits.permittedDrop_Pa;
  const found: Spoiler[] = [];
  if (isSettled(evidence) && evidence.raw === "fail" && input.rule === "simple" && drop.drop_Pa - adds_Pa <= limits.permittedDrop_Pa) {
    const text = `Up to ${words.pressure(adds_Pa)} of the drop may be the air still cooling, which is more than the drop is over the limit.`;
    found.push({ reason: reason("not-settled", text, { adds_Pa, drop_Pa: drop.drop_Pa }), pass: false, fail: true });
  }
  if (!isSettled(evidence)) {
    const coming = settled.coming_Pa;
    const what =
      coming === null
        ? "how much was still to come cannot be told"
        : `${words.change(-coming)} was still to come from the air finding the pipe's temperature, ${words.pressure(ALLOWED_PART * limits.permittedDrop_Pa)} is allowed`;
    found.push({
      reason: reason("not-settled", `The pressure had not settled when the hold began: ${what}.`, {
        coming_Pa: coming,
        u_coming_Pa: settled.u_coming_Pa,
        allowed_Pa: ALLOWED_PART * limits.permittedDrop_Pa,
      }),
      pass: hides_Pa > 0 && drop.drop_Pa + hides_Pa > limits.permittedDrop_Pa,
      fail: explained,
    });
  }
  const served_s = settled.served_s ?? (settled.charged_s === null ? 0 : hold.from_s - settled.charged_s);
  if (served_s < limits.settle_s - 1) {
    const text = `Settling lasted ${words.duration(served_s)} of the required ${words.duration(limits.settle_s)}.`;
    found.push({
      reason: reason("settle-too-short", text, {
        served_s,
        required_s: limits.settle_s,
      }),
      pass: true,
      fail: explained,
    });
  }
  return found;
}

/** The air's own settling after the pump is weighed as such; only what its temperature did beyond that is weather. */
function beyondSettling(share_Pa: number, coming_Pa: number | null): number {
  if (coming_Pa === null || coming_Pa * share_Pa <= 0) return share_Pa;
  return Math.sign(share_Pa) * Math.max(0, Math.abs(share_Pa) - Math.abs(coming_Pa));
}

/** Measured weather, or a gauge whose zero wandered, decides when the result would be the other one without it. */
function driftSpoilers({ drift, zero, drop, margin, input, u_Pa }: Evidence): Spoiler[] {
  if (drop.drop_Pa === null || margin === null) return [];
  const words = wordingOf(input.limits);
  const heat = drift.temperature && { ...drift.temperature, share_Pa: beyondSettling(drift.temperature.share_Pa, input.settled.coming_Pa) };
  const zeroShare = zero.share_Pa === null ? null : { share_Pa: zero.share_Pa, u_Pa: Math.max(u_Pa, drop.noise.resolution_Pa) };
  const parts = [
    { code: "drift-decides-temperature", name: "the air in the pipe changing temperature", share: heat },
    { code: "drift-decides-barometer", name: "the barometer", share: drift.barometer },
    { code: "zero-drift-decides", name: "the gauge's zero wandering", share: zeroShare },
  ] as const;
  const known = parts
    .flatMap((p) => (p.share === null ? [] : [{ ...p, share_Pa: p.share.share_Pa, u_Pa: p.share.u_Pa }]))
    .filter((p) => Math.abs(p.share_Pa) > 2 * p.u_Pa);
  const total_Pa = known.reduce((sum, p) => sum + p.share_Pa, 0);
  const turns = (share_Pa: number): boolean => margin.margin_Pa >= 0 !== margin.margin_Pa + share_Pa >= 0;
  return known
    .filter((p) => turns(p.share_Pa) || (turns(total_Pa) && !turns(total_Pa - p.share_Pa)))
    .map((p) => {
      const adds = p.share_Pa > 0;
      const text = `${words.pressure(Math.abs(p.share_Pa))} of the drop was ${adds ? "added" : "hidden"} by ${p.name}; without that the result would be the other one.`;
      const figures = { share_Pa: p.share_Pa, u_share_Pa: p.u_Pa, drop_Pa: drop.drop_Pa, share_of_all_Pa: total_Pa };
      return { reason: reason(p.code, text, figures), pass: !adds, fail: adds };
    });
}

function proofSpoilers({ input }: Evidence): Spoiler[] {
  if (input.gaugeProven !== false) return [];
  const text = "Nothing shows that the gauge saw the pipe: it did not follow when the pipe was opened after the hold.";
  return [{ reason: reason("gauge-not-proven", text), pass: true, fail: false }];
}
