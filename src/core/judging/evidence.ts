import { signOf } from "../methods/limits.ts";
import { type Decision, decide, type Margin } from "./decide.ts";
import { type Drift, driftOf, type Span } from "./drift.ts";
import { combined_Pa, type DropEstimate, estimateDrop } from "./drop.ts";
import type { HoldCase, Incident } from "./holdCase.ts";
import { indexFrom } from "./lineAt.ts";
import { HOSE_S } from "./settling.ts";
import { type Zero, zeroOf } from "./zero.ts";

/** One-sided 95 % and the 99 % at which a drop has surely passed the limit. */
export const SURELY_95 = 1.645;
const SURELY_99 = 2.33;

/** What the hold showed, before anything is held against it. Sizes are positive for vacuum too. */
export interface Evidence {
  input: HoldCase;
  hold: Span;
  sign: 1 | -1;
  /** Time of the hold that was really run, and what is missing of the method's, s. */
  length_s: number;
  short_s: number;
  drop: DropEstimate;
  drift: Drift;
  zero: Zero;
  /** `null` when an end was not measured. */
  margin: Margin | null;
  raw: Decision | null;
  /** Over the limit beyond doubt although the hold was cut short. */
  surelyOver: boolean;
  inside: readonly Incident[];
  /** Uncertainty of the drop, 0 when unknown. */
  u_Pa: number;
}

const endOf = (incident: Incident): number => (incident.kind === "gap" ? incident.at_s + incident.gap_s : incident.at_s);

/** A collapse right at the end of a hold cut short is what cut it; after a full hold it is only the pipe being opened. */
const falls = (incident: Incident, hold: Span, cut: boolean): boolean =>
  endOf(incident) >= hold.from_s && incident.at_s < hold.to_s + (cut && incident.kind === "collapse" ? HOSE_S : 0);

export function evidenceOf(input: HoldCase, hold: Span): Evidence {
  const { curve, limits, gauge, incidents } = input;
  const sign = signOf(limits);
  const size_Pa = sign === 1 ? curve.pressure_Pa : curve.pressure_Pa.map((p) => -p);
  const clean = cleanSpan(input, hold);
  const breaks_s = incidents.filter((i) => i.kind !== "gap").map((i) => i.at_s);
  const zero = zeroOf(input, hold, sign);
  const seen = estimateDrop({
    time_s: curve.time_s,
    size_Pa,
    gauge,
    hold,
    clean,
    breaks_s,
  });
  const drop = withZero(seen, zero, gauge.zeroDrift_Pa);
  const margin = marginOf(input, drop, sign);
  const length_s = hold.to_s - hold.from_s;
  const missing_s = limits.hold_s - length_s;
  const short_s = missing_s > Math.max(1, 1.5 * drop.noise.interval_s) ? missing_s : 0;
  return {
    input,
    hold,
    sign,
    length_s,
    short_s,
    drop,
    zero,
    drift: driftOf(curve, sign, gauge, hold, clean),
    margin,
    raw: margin && decide(margin, input.rule, limits.boundary),
    surelyOver: margin !== null && margin.margin_Pa + SURELY_99 * margin.u_Pa < 0,
    inside: incidents.filter((i) => falls(i, hold, short_s > 0)),
    u_Pa: drop.u_drop_Pa ?? 0,
  };
}

/**
 * A zero seen to wander is not taken out: it may be anywhere within what it moved (rectangular). Where it was not seen this time, what this
 * gauge is known to do in a whole test stands in for it.
 */
function withZero(drop: DropEstimate, { share_Pa }: Zero, usual_Pa: number | undefined): DropEstimate {
  const moved_Pa = share_Pa ?? usual_Pa ?? null;
  if (drop.budget === null || moved_Pa === null) return drop;
  const budget = { ...drop.budget, zero_Pa: Math.abs(moved_Pa) / Math.sqrt(3) };
  return { ...drop, budget, u_drop_Pa: combined_Pa(budget) };
}

/** Where readings belong to the closed section: after the last action (and the hose's own seconds), before the release. */
function cleanSpan({ curve, settled, phases }: HoldCase, hold: Span): Span {
  const hose_s = settled.lastAction_s === null ? Number.NEGATIVE_INFINITY : settled.lastAction_s + HOSE_S;
  const vent_s = phases.find((p) => p.phase === "vent" && p.from_s >= hold.to_s - 1e-6)?.from_s ?? Number.POSITIVE_INFINITY;
  const last_s = curve.time_s[Math.max(0, indexFrom(curve.time_s, vent_s) - 1)] ?? hold.to_s;
  return {
    from_s: Math.min(hold.from_s, hose_s),
    to_s: Math.max(hold.to_s, Math.min(vent_s, last_s)),
  };
}

function marginOf({ limits }: HoldCase, drop: DropEstimate, sign: 1 | -1): Margin | null {
  if (!drop.start || !drop.end || drop.drop_Pa === null || drop.u_drop_Pa === null || drop.u_end_Pa === null) return null;
  if (limits.floor_Pa === null)
    return {
      margin_Pa: limits.permittedDrop_Pa - drop.drop_Pa,
      u_Pa: drop.u_drop_Pa,
    };
  return {
    margin_Pa: drop.end.size_Pa - sign * limits.floor_Pa,
    u_Pa: drop.u_end_Pa,
  };
}
