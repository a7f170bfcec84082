import { thrust_N, toKgf } from "../physics/thrust.ts";
import { toUnit, type UnitName } from "../units.ts";
import type { Limits } from "./limits.ts";
import type { Pipe } from "./method.ts";

/** Sensible band round the test pressure: 2 % off the start changes the drop by at most 2 %. Common practice, no source. */
const START_TOLERANCE = 0.02;
/** Alarm above this share of the charge pressure, in per cent: a pump overshoots by less. Common practice, no source. */
const TOP_PERCENT = 115;

/** A figure for people: at most six digits, no trailing zeros. */
export const figure = (value: number): string => String(Number(value.toPrecision(6)));

/** "110 mbar" */
export const inUnit = (pressure_Pa: number, unit: UnitName): string => `${figure(toUnit(pressure_Pa, unit))} ${unit}`;

/** "4 min", "1.5 min", "45 s" */
export const inMinutes = (time_s: number): string => (time_s >= 60 ? `${figure(time_s / 60)} min` : `${figure(time_s)} s`);

function thrustCaution(charge_Pa: number, top_Pa: number, dn_mm: number | null): string {
  const vacuum = charge_Pa < 0;
  if (dn_mm === null) return `The ${vacuum ? "pull" : "push"} on each plug is pressure times bore area: give the DN to see it in newton.`;
  const force = (pressure_Pa: number): string =>
    `${thrust_N(pressure_Pa, dn_mm).toFixed(0)} N (${toKgf(thrust_N(pressure_Pa, dn_mm)).toFixed(0)} kgf)`;
  return `Each plug of DN ${figure(dn_mm)} is ${vacuum ? "drawn inwards" : "pushed out"} with ${force(charge_Pa)} at charge pressure and ${force(top_Pa)} at top pressure; a larger bore behind it means more.`;
}

/** What is said before charging, for every method. */
function safetyCautions(charge_Pa: number, top_Pa: number, dn_mm: number | null): string[] {
  const vacuum = charge_Pa < 0;
  return [
    thrustCaution(charge_Pa, top_Pa, dn_mm),
    vacuum
      ? "A cover or frame can be lifted or drawn in and water driven up behind it: nobody in the chamber or over its mouth while it is under vacuum."
      : "A plug under pressure can kill: plugs rated for it and braced, nobody in line with a plug or in a chamber.",
    vacuum ? "Only plugs and covers rated for vacuum." : "Relief valve or regulator on any compressor, set at or below the top pressure.",
    "Trench, lifting and confined-space rules are confirmed by a competent person on site, not by this program; local rules come first.",
    "Afterwards open the vent at the plug, leave it open and make sure by eye or ear: a gauge that reads zero is never permission.",
  ];
}

/** What a method states itself; the rest is the same for all. */
export interface Stated {
  method: Limits["method"];
  medium?: Limits["medium"];
  stop?: Limits["stop"];
  charge_Pa: number;
  settle_s: number;
  test_Pa: number;
  hold_s: number;
  permittedDrop_Pa: number;
  floor_Pa?: number | null;
  boundary: Limits["boundary"];
  startTolerance_Pa?: number | null;
  provenance: string;
  working: string[];
  cautions?: string[];
  /** The unit the standard speaks, for the lines added here. */
  unit: UnitName;
}

/** Fills in what every method shares: direction, band, top pressure, cautions, and their lines of working. */
export function finish(stated: Stated, pipe: Pipe): Limits {
  const { unit, working, cautions = [], startTolerance_Pa, floor_Pa = null, ...rest } = stated;
  const top_Pa = (TOP_PERCENT * stated.charge_Pa) / 100;
  const tolerance_Pa = startTolerance_Pa ?? START_TOLERANCE * Math.abs(stated.test_Pa);
  return {
    medium: "air",
    stop: "fixed-time",
    ...rest,
    floor_Pa,
    direction: stated.test_Pa < 0 ? "vacuum" : "pressure",
    startTolerance_Pa: tolerance_Pa,
    top_Pa,
    dn_mm: pipe.dn_mm,
    material: pipe.material,
    laid_length_m: pipe.laid_length_m,
    working: [
      ...working,
      startTolerance_Pa == null
        ? `Start: within 2 % of the test pressure, ± ${inUnit(tolerance_Pa, unit)} (common practice, no source)`
        : `Start: within ± ${inUnit(tolerance_Pa, unit)} of the test pressure, by the method file`,
      `Top pressure, never to be exceeded: ${TOP_PERCENT / 100} × charge = ${inUnit(top_Pa, unit)} (common practice, no source)`,
    ],
    cautions: [...safetyCautions(stated.charge_Pa, top_Pa, pipe.dn_mm), ...cautions],
  };
}
