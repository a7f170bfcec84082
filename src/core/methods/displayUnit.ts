import { toUnit, type UnitName } from "../units.ts";
import type { Limits } from "./limits.ts";

const CANDIDATES: readonly UnitName[] = ["mbar", "mmH2O", "psi", "inHg", "kPa", "inH2O", "Pa"];

/** Nobody in the trade words a method in bare pascal, though EN 1610's 10 and 2.5 mbar are rounder in it. */
const LAST_PRICE = 1;

/** The unit a method is worded in: its standard's own, else the one in which its pressures are the roundest figures. A head of water says its own. */
export function displayUnit(limits: Pick<Limits, "test_Pa" | "permittedDrop_Pa" | "water" | "unit">): UnitName {
  if (limits.water !== undefined) return limits.water.unit;
  if (limits.unit !== undefined) return limits.unit;
  let best: UnitName = "Pa";
  let fewest = Number.POSITIVE_INFINITY;
  for (const unit of CANDIDATES) {
    const digits =
      digitsOf(toUnit(Math.abs(limits.test_Pa), unit)) + digitsOf(toUnit(limits.permittedDrop_Pa, unit)) + (unit === "Pa" ? LAST_PRICE : 0);
    if (digits < fewest) {
      best = unit;
      fewest = digits;
    }
  }
  return best;
}

/** Decimals after which rounding changes nothing (relative 1e-5), plus a small price for long whole numbers. */
function digitsOf(value: number): number {
  for (let decimals = 0; decimals <= 4; decimals++) {
    if (Math.abs(Number(value.toFixed(decimals)) - value) <= 1e-5 * Math.abs(value)) {
      return decimals + (value >= 1000 ? 0.4 : value >= 1 ? 0 : 0.2);
    }
  }
  return 5;
}

/** Decimals that show a fifth of the start tolerance, so that a stated figure can be met. */
export function displayDecimals(limits: Pick<Limits, "startTolerance_Pa">, unit: UnitName): number {
  const step = toUnit(limits.startTolerance_Pa, unit) / 5;
  return Math.min(4, Math.max(0, Math.ceil(-Math.log10(step))));
}
