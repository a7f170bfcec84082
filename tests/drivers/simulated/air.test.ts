import { describe, expect, it } from "vitest";
import {
  advance,
  BAROMETER_Pa,
  type Gas,
  movePlug,
  pressureOf,
  REST_K,
  type Vessel,
  volumeForStep,
} from "../../../drivers/simulated/air.ts";

/** No heat through the wall, no leak. */
const INSULATED: Vessel = { tau_s: 1e15, slowest: 1, skin: 0, flow: "laminar", leak: 0 };
const R = 287.05;
const restingGas = (): Gas => ({
  mass_kg: BAROMETER_Pa / (R * REST_K),
  air_K: REST_K,
  wall_K: REST_K,
  volume_m3: 1,
  leaked_kg: 0,
});

function fill(gas: Gas, vessel: Vessel, kg: number): void {
  for (let i = 0; i < 1000; i++) advance(gas, vessel, REST_K, BAROMETER_Pa, kg / 1000, 0, 0.001);
}

describe("air, closed form, ideal gas", () => {
  it.each([1100, 5500, 11_000, 22_000])(
    "warms on quick filling to γT0/(1 + (γ−1)P0/P1) at %d Pa and gives back 28.6 % of it",
    (charge_Pa) => {
      const gas = restingGas();
      fill(gas, INSULATED, charge_Pa / (1.4 * R * REST_K));
      const reached_Pa = pressureOf(gas) - BAROMETER_Pa;
      expect(reached_Pa).toBeCloseTo(charge_Pa, 6);
      const ratio = BAROMETER_Pa / (BAROMETER_Pa + charge_Pa);
      expect(gas.air_K).toBeCloseTo((1.4 * REST_K) / (1 + 0.4 * ratio), 6);
      gas.air_K = REST_K;
      expect((reached_Pa - (pressureOf(gas) - BAROMETER_Pa)) / reached_Pa).toBeCloseTo(0.4 / 1.4, 6);
    },
  );

  it("cools on quick bleeding along the isentrope: P/m^γ stays", () => {
    const gas = restingGas();
    const before = pressureOf(gas) / gas.mass_kg ** 1.4;
    for (let i = 0; i < 20_000; i++) advance(gas, INSULATED, REST_K, BAROMETER_Pa, 0, 5e-6, 0.001);
    expect(pressureOf(gas) / gas.mass_kg ** 1.4 / before).toBeCloseTo(1, 5);
  });

  it("loses the asked pressure at once when a plug moves, 71.4 % of it for good", () => {
    const gas = restingGas();
    movePlug(gas, volumeForStep(-200, gas));
    expect(pressureOf(gas) - BAROMETER_Pa).toBeCloseTo(-200, 0);
    gas.air_K = REST_K;
    expect((pressureOf(gas) - BAROMETER_Pa) / -200).toBeCloseTo(1 / 1.4, 2);
  });

  it("cools to the wall with its time constant, longer as the fourth root when the difference dies out", () => {
    const timeToHalve = (difference_K: number): number => {
      const gas = { ...restingGas(), air_K: REST_K + difference_K };
      let time_s = 0;
      while (gas.air_K - REST_K > difference_K / 2) {
        advance(gas, { ...INSULATED, tau_s: 28, slowest: 2.5 }, REST_K, BAROMETER_Pa, 0, 0, 0.01);
        time_s += 0.01;
      }
      return time_s;
    };
    // dθ/dt = −θ^1.25/τ: θ0^−¼ (2^¼ − 1)·4τ.
    expect(timeToHalve(1)).toBeCloseTo(4 * 28 * (2 ** 0.25 - 1), 1);
    expect(timeToHalve(0.2) / timeToHalve(1)).toBeCloseTo(0.2 ** -0.25, 2);
    // Below 2.5^−4 K conduction: plain exponential.
    expect(timeToHalve(0.02)).toBeCloseTo(2.5 * 28 * Math.LN2, 1);
  });
});
