import { describe, expect, it } from "vitest";
import reference from "../../../fixtures/reference/water.json" with { type: "json" };
import { limitsFor } from "../../../src/core/methods/index.ts";
import type { Limits } from "../../../src/core/methods/limits.ts";
import { NO_WATER_PLAN, type WaterLimits, type WaterPlan } from "../../../src/core/methods/waterPlan.ts";
import { errorOf } from "../../support/errors.ts";

const value = (rows: readonly { what: string; value: number }[], what: string): number => {
  const row = rows.find((one) => one.what === what);
  if (row === undefined) throw new Error(`the reference has no ${what}`);
  return row.value;
};
const en = (what: string): number => value(reference.en1610, what);
const adh = (what: string): number => value(reference.adh, what);

interface Wish {
  dn_mm?: number | null;
  laid_length_m?: number | null;
  plan?: Partial<WaterPlan>;
}

function worked(id: string, { dn_mm = 300, laid_length_m = 50, plan = {} }: Wish): Limits & { water: WaterLimits } {
  const limits = limitsFor(id, { dn_mm, material: "clay", laid_length_m, water: { ...NO_WATER_PLAN, ...plan } });
  if (limits.water === undefined) throw new Error("no water limits");
  return { ...limits, water: limits.water };
}

const chamber = { bore_mm: 1000, height_m: 2 };

describe("EN 1610, water (13.3; figures and sources in fixtures/reference/water.json)", () => {
  it("keeps its times, window and band", () => {
    const { water, ...limits } = worked("en1610-w", {});
    expect(limits).toMatchObject({
      medium: "water",
      settle_s: 60 * en("conditioning"),
      hold_s: 60 * en("time"),
      boundary: "less-or-equal",
    });
    expect(water).toMatchObject({
      low_Pa: 1000 * en("least head at the top of the pipe"),
      high_Pa: 1000 * en("greatest head at the top of the pipe"),
      band_Pa: 1000 * en("level kept within"),
      holdTolerance_s: 60 * en("tolerance of the time"),
    });
  });

  // Areas by hand: 50 m of DN 300 is π·0.3·50 = 47.124 m²; a chamber of 1 m wetted 2 m high π·1·2 + π/4 = 7.069 m².
  it.each([
    ["loss of pipelines", {}, 47.124],
    ["loss of pipelines with chambers", { plan: { chambers: [chamber] } }, 54.193],
    ["loss of chambers", { dn_mm: null, laid_length_m: null, plan: { chambers: [chamber, chamber] } }, 14.137],
  ] as const)("%s by the wetted inner surface", (what, wish, area_m2) => {
    const { water } = worked("en1610-w", wish);
    expect(water.area_m2).toBeCloseTo(area_m2, 2);
    expect(water.litresPerM2).toBe(en(what));
    expect(water.permitted_L).toBeCloseTo(area_m2 * en(what), 2);
  });

  it("counts branches by their own bore", () => {
    // π·0.15·12 = 5.655 m².
    const { water } = worked("en1610-w", { plan: { branches: [{ bore_mm: 150, length_m: 12 }] } });
    expect(water.area_m2).toBeCloseTo(47.124 + 5.655, 2);
  });

  it("lowers the highest head at the upper end by the fall, and refuses one that suits no head", () => {
    // 2 m of water are 19.61 kPa (1000 kg/m³ under 9.80665 m/s²).
    expect(worked("en1610-w", { plan: { fall_m: 2 } }).water.high_Pa).toBeCloseTo(50_000 - 19_613.3, 1);
    expect(errorOf(() => worked("en1610-w", { plan: { fall_m: 4.1 } })).code).toBe("fall-too-great");
  });

  it("takes a head told within the window only", () => {
    expect(worked("en1610-w", { plan: { head_Pa: 12_000 } }).test_Pa).toBe(12_000);
    for (const head_Pa of [9_900, 50_100, -20_000, Number.NaN])
      expect(errorOf(() => worked("en1610-w", { plan: { head_Pa } })).code).toBe("head-outside-window");
  });

  it("asks for what the surface needs", () => {
    expect(errorOf(() => worked("en1610-w", { dn_mm: null })).code).toBe("dn-missing");
    expect(errorOf(() => worked("en1610-w", { laid_length_m: null })).code).toBe("length-missing");
  });

  it("warns of the lowest plug with the fall counted in", () => {
    // 50 kPa at the lower end, 0.15 m of water over the middle of the plug: 51 471 Pa on 0.07069 m² are 3638 N.
    const limits = worked("en1610-w", { plan: { fall_m: 2 } });
    expect(limits.cautions.join("\n")).toMatch(/lowest plug bears the most: 3638 N/);
    expect(limits.cautions.join("\n")).toMatch(/long head of water bursts plugs/);
    expect(limits.cautions.join("\n")).toMatch(/local rules come first/);
  });
});

describe("the clay-pipe guide's table per metre", () => {
  const { rows, misprints } = reference.clay_per_metre;
  const misprinted = (dn: number, column: string): boolean => misprints.some((one) => one.dn === dn && one.column === column);
  const permitted = (dn: number): number => worked("en1610-w", { dn_mm: dn, laid_length_m: 1 }).water.permitted_L;
  const fill_L = (dn: number): number => (Math.PI / 4) * (dn / 1000) ** 2 * 1000;

  it.each(rows)("DN %i", (...[dn = 0, fill = 0, addition = 0]) => {
    if (!misprinted(dn, "fill_L_m")) expect(Math.round(fill_L(dn))).toBe(fill);
    if (!misprinted(dn, "addition_L_m")) expect(Number(permitted(dn).toFixed(2))).toBe(addition);
  });

  it.each(misprints)("names what is misprinted: DN $dn, $column", ({ dn, column, printed, geometry }) => {
    const ours = column === "fill_L_m" ? fill_L(dn) : permitted(dn);
    expect(rows.find(([size]) => size === dn)).toContain(printed);
    expect(ours).toBeCloseTo(geometry, column === "fill_L_m" ? 1 : 3);
    expect(ours).not.toBeCloseTo(printed, 2);
  });
});

describe("Approved Document H, water (from memory)", () => {
  it("measures its heads over the inverts", () => {
    const { water, ...limits } = worked("adh-water", { dn_mm: 100, plan: { fall_m: 1 } });
    const metre_Pa = 9806.65;
    expect(water.low_Pa).toBeCloseTo((adh("least head over the highest invert") - 0.1) * metre_Pa, 6);
    expect(water.high_Pa).toBeCloseTo((adh("greatest head over the lowest invert") - 0.1 - 1) * metre_Pa, 6);
    expect(water.band_Pa).toBeCloseTo((adh("level kept within") / 1000) * metre_Pa, 6);
    expect(limits).toMatchObject({ settle_s: 60 * adh("conditioning"), hold_s: 60 * adh("time") });
    expect(limits.provenance).toMatch(/memory/);
  });
});
