import { at } from "../curve.ts";
import { UNIT_NAMES, unitFactor_Pa } from "../units.ts";
import type { Incident } from "./holdCase.ts";

/** Readings on each side of a jump that must be steady. */
const STEADY = 5;

/** Every ratio between two units that is too large to be a plug's doing. */
const RATIOS: readonly number[] = UNIT_NAMES.flatMap((from) =>
  UNIT_NAMES.map((to) => (unitFactor_Pa(from) ?? 1) / (unitFactor_Pa(to) ?? 1)),
).filter((ratio) => ratio > 4 || ratio < 0.25);

/**
 * A gauge that changes its unit jumps from one reading to the next by the ratio of two units and goes on as steadily as before. A
 * release or a slipped plug takes more than one reading or ends elsewhere. Expects readings in order, without spikes.
 */
export function unitChangesIn(
  time_s: ArrayLike<number>,
  pressure_Pa: ArrayLike<number>,
  noise_Pa: number,
): Extract<Incident, { kind: "unit-change" }>[] {
  const found: Extract<Incident, { kind: "unit-change" }>[] = [];
  for (let i = STEADY; i + STEADY <= pressure_Pa.length; i++) {
    const factor = jumpAt(pressure_Pa, i, noise_Pa);
    if (factor === null) continue;
    found.push({ kind: "unit-change", at_s: at(time_s, i), factor });
    i += STEADY;
  }
  return found;
}

function jumpAt(pressure_Pa: ArrayLike<number>, i: number, noise_Pa: number): number | null {
  const before = at(pressure_Pa, i - 1);
  const after = at(pressure_Pa, i);
  if (Math.min(Math.abs(before), Math.abs(after)) < 10 * noise_Pa || before * after <= 0) return null;
  const ratio = after / before;
  if (ratio > 0.25 && ratio < 4) return null;
  if (!isSteady(pressure_Pa, i - STEADY, i) || !isSteady(pressure_Pa, i, i + STEADY)) return null;
  return RATIOS.find((r) => Math.abs(ratio / r - 1) < 0.01) ?? null;
}

function isSteady(pressure_Pa: ArrayLike<number>, from: number, to: number): boolean {
  const middle = Math.abs(at(pressure_Pa, (from + to) >> 1));
  for (let i = from + 1; i < to; i++) {
    if (Math.abs(at(pressure_Pa, i) - at(pressure_Pa, i - 1)) > 0.02 * middle) return false;
  }
  return true;
}
