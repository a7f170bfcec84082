/**
 * The air in a simulated pipe as an ideal gas, written out from the gas law and the balance of energy.
 * It shares nothing with the judges' own formulas, because it is there to check them.
 */
export const R = 287.05;
const GAMMA = 1.4;
const CV = R / (GAMMA - 1);
const CP = CV + R;
/** Everything rests at this temperature before the crew comes; pumped air arrives at it through the hose. */
export const REST_K = 288.15;
export const BAROMETER_Pa = 101_325;
/** A charge of 20 kPa warms the air by 15 K, which halves the time constant; nothing here is quicker. */
const QUICKEST = 0.4;
/** The skin of the wall gives its heat to the ground so much slower than the air to the skin. */
const SKIN_SLOWER = 5;

export interface Gas {
  mass_kg: number;
  air_K: number;
  /** Skin of the wall, which the air feels. */
  wall_K: number;
  volume_m3: number;
  /** Lost through the leak alone since the start; negative when air came in (vacuum). */
  leaked_kg: number;
}

/** What a pipe of this size does, whoever works at it. */
export interface Vessel {
  /** Time constant of air to wall at 1 K difference, s. */
  tau_s: number;
  /** How many times longer it gets as the difference dies out, until conduction takes over from convection. */
  slowest: number;
  /** Heat held by the air in one of the skin's: sets how much the wall warms and so the slow tail. */
  skin: number;
  flow: "laminar" | "orifice";
  /** Laminar: m³/s per Pa of free air; orifice: effective area in m². */
  leak: number;
}

export const pressureOf = (gas: Gas): number => (gas.mass_kg * R * gas.air_K) / gas.volume_m3;

/** Air to wall, s: free convection slackens as the difference dies out (difference to the power −1/4). */
function tauAt(vessel: Vessel, difference_K: number): number {
  const longer = 1 / Math.sqrt(Math.sqrt(Math.abs(difference_K)));
  return vessel.tau_s * Math.min(vessel.slowest, Math.max(QUICKEST, longer));
}

/** Mass leaving through a hole of effective `area_m2`, kg/s, + outwards; incompressible with the density upstream. */
export function throughHole(area_m2: number, inside_Pa: number, outside_Pa: number, inside_K: number): number {
  const gauge_Pa = inside_Pa - outside_Pa;
  return gauge_Pa >= 0
    ? area_m2 * Math.sqrt((2 * gauge_Pa * inside_Pa) / (R * inside_K))
    : -area_m2 * Math.sqrt((-2 * gauge_Pa * outside_Pa) / (R * REST_K));
}

/**
 * Air through an opening in a step: what the flow would bring, never past half of what evens out the pressure, for a flow worked
 * out at the start of a step knows nothing of how little is behind it.
 */
export function passed(flow_kg_s: number, step_s: number, gas: Gas, outside_Pa: number): number {
  const wanted_kg = flow_kg_s * step_s;
  const most_kg = (0.35 * Math.abs(pressureOf(gas) - outside_Pa) * gas.volume_m3) / (R * gas.air_K);
  return Math.max(-most_kg, Math.min(most_kg, wanted_kg));
}

/** Mass leaving through the leak, kg/s, + outwards. */
function leakFlow(vessel: Vessel, gas: Gas, inside_Pa: number, outside_Pa: number): number {
  if (vessel.leak === 0) return 0;
  if (vessel.flow === "orifice") return throughHole(vessel.leak, inside_Pa, outside_Pa, gas.air_K);
  const upstream_K = inside_Pa >= outside_Pa ? gas.air_K : REST_K;
  return (vessel.leak * (inside_Pa ** 2 - outside_Pa ** 2)) / (2 * outside_Pa * R * upstream_K);
}

/** A short step of the pipe: `in_kg` of air comes in at rest temperature, `out_kg` leaves at the pipe's own (either may be negative). */
export function advance(
  gas: Gas,
  vessel: Vessel,
  ground_K: number,
  outside_Pa: number,
  in_kg: number,
  out_kg: number,
  step_s: number,
): void {
  const leak_kg = passed(leakFlow(vessel, gas, pressureOf(gas), outside_Pa), step_s, gas, outside_Pa);
  gas.leaked_kg += leak_kg;
  const heat_J =
    gas.mass_kg * CV * gas.air_K +
    CP * (carriedAt(in_kg, gas.air_K) * in_kg - carriedAt(-out_kg, gas.air_K) * out_kg - carriedAt(-leak_kg, gas.air_K) * leak_kg);
  gas.mass_kg += in_kg - out_kg - leak_kg;
  gas.air_K = heat_J / (gas.mass_kg * CV);
  const difference_K = gas.air_K - gas.wall_K;
  const tau_s = tauAt(vessel, difference_K);
  gas.air_K -= difference_K * (1 - Math.exp(-step_s / tau_s));
  gas.wall_K += step_s * ((vessel.skin * difference_K) / tau_s - (gas.wall_K - ground_K) / (SKIN_SLOWER * vessel.tau_s));
}

/** Air coming in brings the temperature of outside, air going out that of the pipe. */
const carriedAt = (coming: number, air_K: number): number => (coming > 0 ? REST_K : air_K);

/** A plug moves: the volume changes at once and the air does work on it. */
export function movePlug(gas: Gas, by_m3: number): void {
  gas.air_K *= 1 - ((GAMMA - 1) * by_m3) / gas.volume_m3;
  gas.volume_m3 += by_m3;
}

/** Mass that lifts the pipe by `step_Pa` at once, before any heat has gone. */
export const massForStep = (step_Pa: number, volume_m3: number): number => (step_Pa * volume_m3) / (GAMMA * R * REST_K);

/** Volume that changes the pressure by `step_Pa` at once. */
export const volumeForStep = (step_Pa: number, gas: Gas): number => (-step_Pa * gas.volume_m3) / (GAMMA * pressureOf(gas));

/** A pipe at `gauge_Pa` that has settled while leaking: its air is a trifle off the wall's temperature, as the leak keeps working on it. */
export function settledGas(vessel: Vessel, volume_m3: number, gauge_Pa: number): Gas {
  const inside_Pa = BAROMETER_Pa + gauge_Pa;
  const gas: Gas = { mass_kg: 0, air_K: REST_K, wall_K: REST_K, volume_m3, leaked_kg: 0 };
  for (let round = 0; round < 30; round++) {
    gas.mass_kg = (inside_Pa * volume_m3) / (R * gas.air_K);
    const leak = leakFlow(vessel, gas, inside_Pa, BAROMETER_Pa);
    // Outflow: the air left behind does the work of pushing it out. Inflow brings the same work in.
    const worked_K = (-leak * R * (leak > 0 ? gas.air_K : REST_K) * tauAt(vessel, gas.air_K - gas.wall_K)) / (gas.mass_kg * CV);
    // A leak that empties the pipe before the wall can warm it never settles; then no more than the work of all of it.
    const most_K = ((GAMMA - 1) / GAMMA) * REST_K * Math.abs(gauge_Pa / inside_Pa);
    const difference_K = Math.max(-most_K, Math.min(most_K, worked_K));
    gas.wall_K = REST_K + (vessel.skin * SKIN_SLOWER * vessel.tau_s * difference_K) / tauAt(vessel, difference_K);
    gas.air_K = gas.wall_K + difference_K;
  }
  return gas;
}
