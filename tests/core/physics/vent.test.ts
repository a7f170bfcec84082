import { describe, expect, it } from "vitest";
import { ventArea_m2, ventedVolume_m3, ventFall } from "../../../src/core/physics/vent.ts";

/** A pipe emptied through a hole, stepped with the ideal gas and ṁ = A √(2 ρ g): nothing of vent.ts in it. */
function emptied(volume_m3: number, area_m2: number, full_Pa = 1000, interval_s = 0.5) {
  const time_s: number[] = [];
  const size_Pa: number[] = [];
  const dt = 0.001;
  let p = 101_325 + full_Pa;
  for (let k = 0; p - 101_325 > 1 && k < 200_000; k++) {
    if (k % Math.round(interval_s / dt) === 0) {
      time_s.push(k * dt);
      size_Pa.push(p - 101_325);
    }
    const density = p / (287.05 * 288.15);
    p -= ((287.05 * 288.15) / volume_m3) * area_m2 * Math.sqrt(2 * density * (p - 101_325)) * dt;
  }
  time_s.push((time_s.at(-1) ?? 0) + interval_s);
  size_Pa.push(0);
  return ventFall(time_s, size_Pa, full_Pa);
}

describe("the volume by the vent", () => {
  it.each([
    [3.5, 3e-4, 1000],
    [1.2, 1e-4, 1000],
    [3.5, 2e-4, 10_000],
  ])("%f m³ through %f m² from %d Pa", (volume_m3, area_m2, full_Pa) => {
    const fall = emptied(volume_m3, area_m2, full_Pa);
    expect(fall).not.toBeNull();
    if (fall === null) return;
    expect(ventArea_m2(volume_m3, fall) / area_m2).toBeCloseTo(1, 2);
    expect(ventedVolume_m3(area_m2, fall) / volume_m3).toBeCloseTo(1, 2);
  });

  it("a vent measured on one section tells another's volume", () => {
    const known = emptied(0.9, 1e-4);
    const unknown = emptied(2.7, 1e-4);
    if (known === null || unknown === null) throw new Error("no fall");
    expect(ventedVolume_m3(ventArea_m2(0.9, known), unknown)).toBeCloseTo(2.7, 1);
  });

  it("is not told from a pipe that empties between two readings, nor from one that does not empty", () => {
    expect(emptied(0.2, 5e-4)).toBeNull();
    expect(ventFall([0, 1, 2, 3, 4, 5], [1000, 900, 700, 600, 500, 450], 1000)).toBeNull();
  });
});
