import { describe, expect, it } from "vitest";
import { project } from "../../../src/core/judging/projection.ts";
import { normal } from "../../support/pressureCurve.ts";

/** EN 1610 LA, DN 100. */
const LA = { from_s: 100, holdSeconds: 300, permitted_Pa: 250, test_Pa: 1000, resolution_Pa: 0 };
const AT_THE_LIMIT = Math.log(1000 / 750) / 300;

function projected(x: number, elapsed_s: number, { noise_Pa = 0, seed = 1, resolution_Pa = 0 } = {}) {
  const deviate = normal(seed);
  const t = Array.from({ length: 100 + elapsed_s + 1 }, (_, i) => i);
  const p = t.map((time) => 1000 * Math.exp(-x * AT_THE_LIMIT * (time - 100)) + noise_Pa * deviate());
  return project(t, p, { ...LA, resolution_Pa });
}

describe("the drop at the end of the hold", () => {
  // Closed form: p₀(1 − e^(−KH)); at the limit that is the permitted drop.
  it.each([0, 0.5, 1, 2])("of a laminar leak of %f times the limit is exact from the fall so far", (x) => {
    const seen = projected(x, 120);
    expect(seen?.end_drop_Pa).toBeCloseTo(1000 * (1 - 0.75 ** x), 6);
    expect(seen?.drop_Pa).toBeCloseTo(1000 * (1 - 0.75 ** (x * 0.4)), 6);
    expect(seen?.start_Pa).toBeCloseTo(1000, 6);
  });

  it("is unknown below five seconds, and of a pipe that is empty", () => {
    expect(projected(1, 3)).toBeNull();
    expect(projected(1, 4)).not.toBeNull();
    expect(project([0, 1, 2, 3, 4, 5], [1, 1, 0, 0, 0, 0], { ...LA, from_s: 0 })).toBeNull();
  });

  it("has an uncertainty that covers what it misses, and shrinks with time", () => {
    let within = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const seen = projected(0.8, 90, { noise_Pa: 3, seed });
      if (Math.abs((seen?.end_drop_Pa ?? 0) - 1000 * (1 - 0.75 ** 0.8)) <= 1.96 * (seen?.u_end_drop_Pa ?? 0)) within++;
    }
    expect(within).toBeGreaterThan(180);
    const u = (elapsed_s: number) => projected(0.8, elapsed_s, { noise_Pa: 3 })?.u_end_drop_Pa ?? Number.NaN;
    expect(u(250)).toBeLessThan(u(60) / 3);
  });
});

describe("will fail", () => {
  /** Second of the hold at which it is first said. */
  function saidAt(x: number, seed: number): number | null {
    for (let elapsed_s = 10; elapsed_s <= 300; elapsed_s += 5) {
      if (projected(x, elapsed_s, { noise_Pa: 2, seed, resolution_Pa: 1 })?.willFail === true) return elapsed_s;
    }
    return null;
  }

  it.each([0.5, 0.9, 1])("is never said of a pipe that leaks %f times the limit, in a hundred runs", (x) => {
    for (let seed = 1; seed <= 100; seed++) expect(saidAt(x, seed)).toBeNull();
  });

  it("is said of one that leaks half as much again, after a minute and long before the end", () => {
    for (let seed = 1; seed <= 100; seed++) {
      const said = saidAt(1.5, seed) ?? Number.POSITIVE_INFINITY;
      expect(said).toBeGreaterThanOrEqual(60);
      expect(said).toBeLessThan(150);
    }
  });
});
