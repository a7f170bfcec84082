import { describe, expect, it } from "vitest";
import reference from "../../../fixtures/reference/thrust.json" with { type: "json" };
import { boreArea_m2, thrust_N, toKgf } from "../../../src/core/physics/thrust.ts";
import { unitFactor_Pa } from "../../../src/core/units.ts";

/** Pound-force in newton: 0.45359237 kg × 9.80665 m/s². */
const LBF_N = 0.45359237 * 9.80665;
const misfit = (row: { p_psi: number; d_in: number }) => reference.misfits.find((one) => one.p_psi === row.p_psi && one.d_in === row.d_in);

describe("thrust on a plug", () => {
  // Published for safety by Oregon OSHA and a pipe association (2014, 2016), rounded there to the nearest thousand.
  it.each(reference.rows)("$p_psi psi on $d_in in is about $published_lbf lbf", (row) => {
    const force_lbf = thrust_N(row.p_psi * (unitFactor_Pa("psi") ?? 0), row.d_in * 25.4) / LBF_N;
    if (misfit(row) === undefined) expect(Math.abs(force_lbf / row.published_lbf - 1)).toBeLessThan(0.02);
    else expect(row.published_lbf / force_lbf).toBeCloseTo(0.943, 2);
  });

  it.each(reference.computed.rows)("$p_mbar mbar on DN $dn is $N N", ({ p_mbar, dn, N }) => {
    expect(thrust_N(p_mbar * 100, dn)).toBeCloseTo(N, 1);
  });

  it("is pressure times area, whatever the sign: 200 mbar on DN 1000 is 15.7 kN", () => {
    expect(boreArea_m2(1000)).toBeCloseTo(Math.PI / 4, 12);
    expect(thrust_N(20_000, 1000)).toBeCloseTo(5000 * Math.PI, 8);
    expect(thrust_N(-20_000, 1000)).toBe(thrust_N(20_000, 1000));
    expect(toKgf(9.80665)).toBe(1);
  });
});
