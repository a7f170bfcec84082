import type { Decision } from "./decide.ts";
import { driftSpoilers } from "./driftSpoilers.ts";
import { type Evidence, SURELY_95 } from "./evidence.ts";
import { groundwaterSpoilers } from "./groundwater.ts";
import type { Incident } from "./holdCase.ts";
import { type Reason, reason, type Wording, wordingOf } from "./reasons.ts";
import { settlingSpoilers } from "./unsettled.ts";

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
    ...groundwaterSpoilers(evidence),
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

function proofSpoilers({ input }: Evidence): Spoiler[] {
  if (input.gaugeProven !== false) return [];
  const text = "Nothing shows that the gauge saw the pipe: it did not follow when the pipe was opened after the hold.";
  return [{ reason: reason("gauge-not-proven", text), pass: true, fail: false }];
}
