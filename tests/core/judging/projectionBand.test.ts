import { describe, expect, it } from "vitest";
import { project } from "../../../src/core/judging/projection.ts";
import { normal } from "../../support/pressureCurve.ts";

const ABOUT = { from_s: 0, holdSeconds: 300, permitted_Pa: 250, test_Pa: 1000, resolution_Pa: 0.1 };

/** A laminar leak with white or gusty noise (an autoregression of ρ), looked at after so many seconds. */
function projected(leak: number, seed: number, seconds: number, rho: number) {
  const k = (leak * Math.log(1000 / 750)) / 300;
  const deviate = normal(seed);
  let gust = 0;
  const t = Array.from({ length: seconds + 1 }, (_, i) => i);
  const p = t.map((s) => {
    gust = rho * gust + Math.sqrt(1 - rho * rho) * 2 * deviate();
    return 1000 * Math.exp(-k * s) + gust;
  });
  return { found: project(t, p, ABOUT), true_Pa: 1000 * (1 - Math.exp(-k * 300)) };
}

describe("the projected drop", () => {
  it.each([
    [60, 0],
    [150, 0],
    [240, 0],
    [150, 0.6],
  ])(
    "lies with its 95 % band about the true one in at least 93 of 100 of 1000 holds, after %d s, noise correlated by %f",
    (seconds, rho) => {
      let inside = 0;
      for (let seed = 1; seed <= 1000; seed++) {
        const { found, true_Pa } = projected(0.8, seed, seconds, rho);
        if (found !== null && Math.abs(found.end_drop_Pa - true_Pa) <= 1.96 * found.u_end_drop_Pa) inside++;
      }
      expect(inside / 1000).toBeGreaterThan(0.93);
    },
  );

  it.each([0, 0.6])("never says will fail of a pipe at its limit, noise correlated by %f, and always of one at twice", (rho) => {
    for (let seed = 1; seed <= 300; seed++) {
      for (const seconds of [60, 120, 200, 299]) expect(projected(1, seed, seconds, rho).found?.willFail).toBe(false);
      expect(projected(2, seed, 120, rho).found?.willFail).toBe(true);
    }
  });
});
