import { usageError } from "../errors.ts";
import type { Pipe } from "./method.ts";
import { nominalInches } from "./sizes.ts";
import { FOOT_m, figure, inUnit, psi_Pa } from "./words.ts";

/** What the American tests of sewers share: 4.0 psi, let stand, from 3.5 psi timed down; inches and feet. */
const CHARGE_psi = 4;
const TEST_psi = 3.5;
/** ASTM F1417's ceiling (read in fragments of it); taken for the clay, concrete and NCPI tests too, for want of their own. */
const MOST_psi = 9;
/** Fresh water, psi for each foot (from memory of F1417; a town code has 0.43, read). */
const WATER_psi_per_ft = 0.433;

/** One size of the section in the standard's own units. */
export interface Length {
  d_in: number;
  length_ft: number;
}

export const feet = (length_m: number): number => length_m / FOOT_m;

/** The main pipe first, then what else is in the section. */
export const lengthsOf = (dn_mm: number, length_m: number, pipe: Pipe): Length[] => [
  { d_in: nominalInches(dn_mm), length_ft: feet(length_m) },
  ...(pipe.also ?? []).map((other) => ({ d_in: nominalInches(other.dn_mm), length_ft: feet(other.length_m) })),
];

export const sizeWorking = (dn_mm: number, length_m: number): string =>
  `Size: DN ${figure(Number(dn_mm.toFixed(1)))} is ${figure(Number(nominalInches(dn_mm).toFixed(2)))} in; length ${figure(length_m)} m = ${figure(Number(feet(length_m).toFixed(1)))} ft`;

/** Pressures raised against groundwater, with the line of working. StaunchError `groundwater-too-high` past the ceiling. */
export function raisedPressures(id: string, pipe: Pipe) {
  const height_ft = feet(pipe.groundwater_m ?? 0);
  const raise_psi = WATER_psi_per_ft * height_ft;
  const charge_psi = CHARGE_psi + raise_psi;
  if (charge_psi > MOST_psi)
    throw usageError(
      "groundwater-too-high",
      `${id}: ${figure(pipe.groundwater_m ?? 0)} m of groundwater raise the charge to ${charge_psi.toFixed(2)} psi, past ${MOST_psi} psi, the most this test may use.`,
      "Lower the groundwater, or take the infiltration test the specification names.",
    );
  const working =
    raise_psi === 0
      ? []
      : [
          `Groundwater ${figure(Number(height_ft.toFixed(2)))} ft above the pipe × ${WATER_psi_per_ft} psi/ft = ${raise_psi.toFixed(2)} psi added to every pressure`,
        ];
  return {
    charge_Pa: psi_Pa(charge_psi),
    test_Pa: psi_Pa(TEST_psi + raise_psi),
    most_Pa: psi_Pa(MOST_psi),
    ...(raise_psi === 0 ? {} : { raisedBy_Pa: psi_Pa(raise_psi) }),
    working: [
      `Charge ${inUnit(psi_Pa(CHARGE_psi), "psi")}, timed from ${inUnit(psi_Pa(TEST_psi), "psi")}${raise_psi === 0 ? "" : ", before groundwater"}`,
      ...working,
    ],
  };
}

/** What every one of them warns of. */
export const AMERICAN_CAUTIONS: readonly string[] = [
  "Towns set other limits (5 psi in one, 10 psi in all in another, read): local rules come first.",
];
