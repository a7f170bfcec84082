import { describe, expect, it } from "vitest";
import {
  AIR_R,
  absolute_Pa,
  CHARGE_GIVEN_BACK,
  explainedDrop_Pa,
  filledAir_K,
  plugMovement_Pa,
  STANDARD_AIR_K,
  slope_Pa_per_K,
  wetSlope_Pa_per_K,
  ZERO_C_K,
} from "../../../src/core/physics/air.ts";

const AMBIENT_Pa = 101_325;

describe("trapped air", () => {
  // Closed form P/T: about 355 Pa/K at 1 kPa, 386 at 10 kPa, 421 at 20 kPa, 15 °C.
  it.each([
    [1000, 355.1],
    [10_000, 386.3],
    [20_000, 421.0],
    [-33_864, 234.1],
  ])("%d Pa moves by %d Pa per kelvin", (gauge_Pa, slope) => {
    expect(slope_Pa_per_K(gauge_Pa)).toBeCloseTo(slope, 1);
  });

  it("obeys the ideal gas law when warmed at constant volume", () => {
    const warmed_Pa = absolute_Pa(1000) * ((STANDARD_AIR_K + 0.5) / STANDARD_AIR_K) - AMBIENT_Pa;
    expect(warmed_Pa - 1000).toBeCloseTo(0.5 * slope_Pa_per_K(1000), 9);
    expect(ZERO_C_K + 15).toBe(STANDARD_AIR_K);
  });

  it("explains a drop by cooling and by a rising barometer, the other way round for a vacuum", () => {
    const drift = { air_K: -0.1, ambient_Pa: 50 };
    const above = explainedDrop_Pa(drift, 1000, 1);
    expect(above.temperature_Pa).toBeCloseTo(35.5, 1);
    expect(above.barometer_Pa).toBe(50);
    const below = explainedDrop_Pa(drift, -33_864, -1);
    expect(below.temperature_Pa).toBeCloseTo(-23.4, 1);
    expect(below.barometer_Pa).toBe(-50);
  });
});

describe("charging", () => {
  /** The same limit by energy balance over many small fillings: each adds air that brings γ·cv·T₀. */
  function filledByEnergy_K(charge_Pa: number): number {
    const steps = 200_000;
    const cv = AIR_R / 0.4;
    let mass = AMBIENT_Pa / (AIR_R * STANDARD_AIR_K);
    let energy = mass * cv * STANDARD_AIR_K;
    // One cubic metre: pressure = energy (γ − 1), so the energy to come is known.
    const added = charge_Pa / 0.4 / steps;
    for (let i = 0; i < steps; i++) {
      energy += added;
      mass += added / (1.4 * cv * STANDARD_AIR_K);
    }
    return energy / (mass * cv);
  }

  it.each([1100, 5500, 11_000, 22_000])("to %d Pa heats the air as an energy balance says", (charge_Pa) => {
    expect(filledAir_K(charge_Pa)).toBeCloseTo(filledByEnergy_K(charge_Pa), 6);
  });

  it.each([1100, 11_000, 22_000])("gives back 0.286 of %d Pa when that heat is gone", (charge_Pa) => {
    const cooled_Pa = absolute_Pa(charge_Pa) * (STANDARD_AIR_K / filledAir_K(charge_Pa)) - AMBIENT_Pa;
    expect(charge_Pa - cooled_Pa).toBeCloseTo(CHARGE_GIVEN_BACK * charge_Pa, 6);
    expect(CHARGE_GIVEN_BACK).toBeCloseTo(2 / 7, 12);
  });
});

describe("a plug that moves", () => {
  // Closed form P·x/l: 10 mm in 10 m is 102 Pa at 1 kPa, 5 mm in 3 m is 170 Pa.
  it.each([
    [1000, 10, 10, 102.3],
    [10_000, 10, 10, 111.3],
    [1000, 5, 3, 170.5],
  ])("at %d Pa, %d mm in %d m", (gauge_Pa, movement_mm, length_m, expected_Pa) => {
    expect(plugMovement_Pa(gauge_Pa, movement_mm, length_m)).toBeCloseTo(expected_Pa, 1);
  });
});

describe("air over a wet wall", () => {
  // 355 Pa/K dry at 1 kPa and 15 °C, and 110 Pa/K of the vapour: saturation 1598 Pa at 14 °C, 1818 at 16 °C (steam tables, from memory).
  it("follows the temperature by 465 instead of 355 Pa/K at 1 kPa and 15 °C", () => {
    expect(wetSlope_Pa_per_K(1000)).toBeCloseTo(465, -0.5);
    expect(wetSlope_Pa_per_K(1000) - slope_Pa_per_K(1000)).toBeCloseTo((1818 - 1598) / 2, -0.5);
  });

  it("hardly differs in the cold and differs by half in the heat", () => {
    expect(wetSlope_Pa_per_K(1000, 273.15) / slope_Pa_per_K(1000, 273.15)).toBeLessThan(1.13);
    expect(wetSlope_Pa_per_K(1000, 303.15) / slope_Pa_per_K(1000, 303.15)).toBeGreaterThan(1.6);
  });
});
