import { displayUnit } from "./displayUnit.ts";
import type { Limits } from "./limits.ts";
import type { Pipe } from "./method.ts";
import { safetyCautions } from "./safety.ts";
import type { Stated } from "./stated.ts";
import { boreWorking, groundwater, holdTold, plugBore_mm, refuseUncovered, toldOf, volume_m3 } from "./told.ts";
import { inMinutes, inUnit } from "./words.ts";

export { figure, inMinutes, inUnit } from "./words.ts";

/** Sensible band round the test pressure: 2 % off the start changes the drop by at most 2 %. Common practice, no source. */
const START_TOLERANCE = 0.02;
/** Alarm above this share of the charge pressure, in per cent: a pump overshoots by less. Common practice, no source. */
const TOP_PERCENT = 115;

function topPressure(stated: Stated): { top_Pa: number; working: string } {
  const { charge_Pa, most_Pa, raisedBy_Pa = 0, unit } = stated;
  if (stated.top_Pa !== undefined)
    return { top_Pa: stated.top_Pa, working: `Top pressure, never to be exceeded: ${inUnit(stated.top_Pa, unit)}, as stated` };
  const usual_Pa = (TOP_PERCENT * (charge_Pa - raisedBy_Pa)) / 100 + raisedBy_Pa;
  if (most_Pa !== undefined && Math.abs(most_Pa) <= Math.abs(usual_Pa))
    return { top_Pa: most_Pa, working: `Top pressure, never to be exceeded: ${inUnit(most_Pa, unit)}, the method's own` };
  const plus = raisedBy_Pa === 0 ? "" : " + groundwater";
  return {
    top_Pa: usual_Pa,
    working: `Top pressure, never to be exceeded: ${TOP_PERCENT / 100} × charge${plus} = ${inUnit(usual_Pa, unit)} (common practice, no source)`,
  };
}

/** How the method's wording decides a result exactly at its limit. */
function atTheLimit({ boundary, floor_Pa = null, permittedDrop_Pa, stop, unit }: Stated, hold_s: number): string {
  const passes = boundary === "less-or-equal" ? "passes" : "does not pass";
  if (stop === "fixed-drop") return `At the limit: a fall of ${inUnit(permittedDrop_Pa, unit)} in exactly ${inMinutes(hold_s)} ${passes}`;
  return floor_Pa === null
    ? `At the limit: a drop of exactly ${inUnit(permittedDrop_Pa, unit)} ${passes}`
    : `At the limit: exactly ${inUnit(floor_Pa, unit)} left ${passes}`;
}

/** What was told beside size and length, as optional fields of the limits. */
function extras(stated: Stated, pipe: Pipe): Partial<Limits> {
  const plug_mm = plugBore_mm(pipe);
  const volume = volume_m3(pipe);
  const told = toldOf(pipe);
  const { earlyAcceptance, raisedBy_Pa, chamber } = stated;
  return {
    // Kept only where the figures do not say it themselves.
    ...(displayUnit({ test_Pa: stated.test_Pa, permittedDrop_Pa: stated.permittedDrop_Pa }) === stated.unit ? {} : { unit: stated.unit }),
    ...(plug_mm === null || plug_mm === pipe.dn_mm ? {} : { plugBore_mm: plug_mm }),
    ...(volume === null ? {} : { volume_m3: volume }),
    ...(earlyAcceptance === undefined ? {} : { earlyAcceptance }),
    ...(raisedBy_Pa === undefined ? {} : { raisedBy_Pa }),
    ...(chamber === true ? { chamber } : {}),
    ...(told === undefined ? {} : { told }),
  };
}

/**
 * Fills in what every method shares: direction, band, top pressure, cautions, and their lines of working. StaunchErrors where the
 * section holds what the method has no rule for.
 */
export function finish(stated: Stated, pipe: Pipe): Limits {
  const { unit, raisedBy_Pa = 0, startTolerance_Pa, floor_Pa = null } = stated;
  refuseUncovered(stated, pipe);
  const hold = holdTold(stated, pipe);
  const { top_Pa, working: topWorking } = topPressure(stated);
  const water = groundwater(stated, pipe);
  const tolerance_Pa = startTolerance_Pa ?? START_TOLERANCE * Math.abs(stated.test_Pa - raisedBy_Pa);
  return {
    method: stated.method,
    medium: stated.medium ?? "air",
    stop: stated.stop ?? "fixed-time",
    direction: stated.test_Pa < 0 ? "vacuum" : "pressure",
    charge_Pa: stated.charge_Pa,
    settle_s: stated.settle_s,
    test_Pa: stated.test_Pa,
    hold_s: hold.hold_s,
    permittedDrop_Pa: stated.permittedDrop_Pa,
    floor_Pa,
    boundary: stated.boundary,
    startTolerance_Pa: tolerance_Pa,
    top_Pa,
    dn_mm: pipe.dn_mm,
    material: pipe.material,
    laid_length_m: pipe.laid_length_m,
    provenance: stated.provenance,
    ...extras(stated, pipe),
    ...(water === null ? {} : { groundwater_Pa: water.pressure_Pa }),
    working: [
      ...stated.working,
      ...hold.working,
      ...boreWorking(pipe),
      atTheLimit(stated, hold.hold_s),
      startTolerance_Pa == null
        ? `Start: within 2 % of the test pressure, ± ${inUnit(tolerance_Pa, unit)} (common practice, no source)`
        : `Start: within ± ${inUnit(tolerance_Pa, unit)} of the test pressure, by the method file`,
      topWorking,
    ],
    cautions: [
      ...safetyCautions(stated.charge_Pa, top_Pa, plugBore_mm(pipe), stated.chamber === true),
      ...(water?.cautions ?? []),
      ...(stated.earlyAcceptance === undefined ? [] : [`Early acceptance: ${stated.earlyAcceptance}`]),
      ...(stated.cautions ?? []),
    ],
  };
}
