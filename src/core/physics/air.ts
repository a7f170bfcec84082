/** What the weather and the pump do to a tight pipe. Ideal gas; pressures in pascal, temperatures in kelvin. */

/** Gas constant of dry air, J/(kg K). */
export const AIR_R = 287.05;
/** Ratio of the specific heats of air. */
const AIR_GAMMA = 1.4;
/** Where nothing is measured: standard atmosphere and 15 °C. */
export const STANDARD_AMBIENT_Pa = 101_325;
export const STANDARD_AIR_K = 288.15;
/** 0 °C. */
export const ZERO_C_K = 273.15;

/** Absolute pressure from a gauge reading (negative for a vacuum). */
export const absolute_Pa = (gauge_Pa: number, ambient_Pa = STANDARD_AMBIENT_Pa): number => ambient_Pa + gauge_Pa;

/** How fast trapped dry air changes its pressure with its temperature: P/T at constant volume, Pa/K. */
export const slope_Pa_per_K = (gauge_Pa: number, air_K = STANDARD_AIR_K, ambient_Pa = STANDARD_AMBIENT_Pa): number =>
  absolute_Pa(gauge_Pa, ambient_Pa) / air_K;

/** Saturation pressure of water vapour: Magnus form, Alduchov and Eskridge 1996 (constants from memory); 0 to 50 °C within 0.4 %. */
const MAGNUS_Pa = 610.94;
const MAGNUS_A = 17.625;
const MAGNUS_B_C = 243.04;

/** How fast the pressure of vapour over a wet wall follows the temperature, Pa/K: 110 at 15 °C. */
function vapourSlope_Pa_per_K(air_K: number): number {
  const air_C = air_K - ZERO_C_K;
  const vapour_Pa = MAGNUS_Pa * Math.exp((MAGNUS_A * air_C) / (air_C + MAGNUS_B_C));
  return (vapour_Pa * MAGNUS_A * MAGNUS_B_C) / (air_C + MAGNUS_B_C) ** 2;
}

/**
 * The same over a wet wall, whose vapour comes and goes with the temperature: 465 Pa/K instead of 355 at 1 kPa and 15 °C. An upper bound: the
 * vapour's own part of the air (1.7 % there) is counted twice, and a wall needs minutes to wet or dry the air.
 */
export const wetSlope_Pa_per_K = (gauge_Pa: number, air_K = STANDARD_AIR_K, ambient_Pa = STANDARD_AMBIENT_Pa): number =>
  slope_Pa_per_K(gauge_Pa, air_K, ambient_Pa) + vapourSlope_Pa_per_K(air_K);

/** What happened to the air outside and inside between the two ends of a hold. */
export interface Drift {
  /** End minus start. */
  air_K: number;
  ambient_Pa: number;
}

/**
 * The part of a drop that weather explains, positive when it added to the drop. `sign` is +1 above atmosphere, −1 for a
 * vacuum (whose size shrinks when the air inside warms). A barometer moves only a vented gauge.
 */
export function explainedDrop_Pa(
  drift: Drift,
  gauge_Pa: number,
  sign: 1 | -1,
  air_K = STANDARD_AIR_K,
): { temperature_Pa: number; barometer_Pa: number } {
  return {
    temperature_Pa: -sign * slope_Pa_per_K(gauge_Pa, air_K) * drift.air_K,
    barometer_Pa: sign * drift.ambient_Pa,
  };
}

/**
 * Temperature of air pumped quickly into a pipe that stood at atmosphere, before the wall takes anything: the adiabatic limit of
 * filling, T = γ T₀ / (1 + (γ − 1) p₀/p).
 */
export const filledAir_K = (charge_Pa: number, air_K = STANDARD_AIR_K, ambient_Pa = STANDARD_AMBIENT_Pa): number =>
  (AIR_GAMMA * air_K) / (1 + ((AIR_GAMMA - 1) * ambient_Pa) / absolute_Pa(charge_Pa, ambient_Pa));

/** Share of a quick charge that is given back as its heat goes into the wall: (γ − 1)/γ = 0.286, whatever the pressure. */
export const CHARGE_GIVEN_BACK = (AIR_GAMMA - 1) / AIR_GAMMA;

/** Change in reading when one plug moves inwards by `movement_mm` in a section of this length; the bore cancels out. */
export const plugMovement_Pa = (gauge_Pa: number, movement_mm: number, length_m: number, ambient_Pa = STANDARD_AMBIENT_Pa): number =>
  (absolute_Pa(gauge_Pa, ambient_Pa) * movement_mm) / 1000 / length_m;
