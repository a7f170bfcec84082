import { describe, expect, it } from "vitest";
import reference from "../../../fixtures/reference/manholes.json" with { type: "json" };
import { limitsFor } from "../../../src/core/methods/index.ts";
import type { Told } from "../../../src/core/methods/method.ts";
import { errorOf } from "../../support/errors.ts";

const INHG_Pa = 3386.388640341;
const chamber = (d_in: number, depth_ft: number | null, told: Told = {}) => ({
  dn_mm: d_in * 25.4,
  material: "wet-concrete" as const,
  laid_length_m: depth_ft === null ? null : depth_ft * 0.3048,
  ...told,
});
const DEFAULT = limitsFor("astm-c1244", chamber(48, 10));

describe("ASTM C1244", () => {
  it.each(reference.c1244.rows)("$d_in in, $depth_ft ft: $time_s s (from memory)", ({ d_in, depth_ft, time_s }) => {
    expect(limitsFor("astm-c1244", chamber(d_in, depth_ft)).hold_s).toBe(time_s);
  });

  it.each(reference.c1244.rows.filter(({ d_in }) => d_in !== 48))(
    "$d_in in, $depth_ft ft lies on its column's line, but for the misfit",
    (row) => {
      const misfit = reference.c1244.misfits.find((one) => one.d_in === row.d_in && one.depth_ft === row.depth_ft);
      const perFoot_s = row.d_in === 60 ? 3.25 : 4.05;
      expect(Math.abs(perFoot_s * row.depth_ft - row.time_s) <= 1.05).toBe(misfit === undefined);
      if (misfit !== undefined) expect(Math.abs(perFoot_s * row.depth_ft - misfit.trend_s)).toBeLessThan(1);
    },
  );

  it("is a vacuum of 10 inHg that may lose 1", () => {
    const value = (id: string) => Number(reference.values.find((one) => one.id === id)?.value);
    expect(DEFAULT.direction).toBe("vacuum");
    expect(DEFAULT.test_Pa / INHG_Pa).toBeCloseTo(-value("c1244.start"), 9);
    expect((DEFAULT.test_Pa + DEFAULT.permittedDrop_Pa) / INHG_Pa).toBeCloseTo(-value("c1244.end"), 9);
    expect(DEFAULT.chamber).toBe(true);
    expect(DEFAULT.cautions.join("\n")).toMatch(/nobody in line with a plug, in the chamber/);
  });

  it("takes the deeper row between two, the first for shallow chambers, and DN 1200 for 48 in", () => {
    expect(limitsFor("astm-c1244", chamber(48, 11)).hold_s).toBe(30);
    expect(limitsFor("astm-c1244", chamber(48, 4)).hold_s).toBe(20);
    expect(limitsFor("astm-c1244", { ...chamber(48, 10), dn_mm: 1200 }).hold_s).toBe(25);
  });

  it("asks for the time where its table is not known, and for the depth", () => {
    expect(errorOf(() => limitsFor("astm-c1244", chamber(40, 10))).hint).toContain("--hold");
    expect(errorOf(() => limitsFor("astm-c1244", chamber(48, 31))).message).toContain("ends at 30 ft");
    expect(errorOf(() => limitsFor("astm-c1244", chamber(48, null))).code).toBe("length-missing");
    expect(limitsFor("astm-c1244", chamber(40, 10, { hold_s: 60 })).hold_s).toBe(60);
  });

  it("draws groundwater in rather than being fooled by it", () => {
    expect(limitsFor("astm-c1244", chamber(48, 10, { groundwater_m: 3 })).groundwater_Pa).toBe(0);
  });
});

describe("local times are longer, and --hold takes them", () => {
  it.each(reference.claremont.rows)("$d_in in: $time_s s is 1.25 s an inch", ({ d_in, time_s }) => {
    expect(1.25 * d_in).toBe(time_s);
    expect(limitsFor("astm-c1244", chamber(d_in, 8, { hold_s: time_s })).hold_s).toBe(time_s);
  });

  it.each(reference.spotsylvania.rows)("$depth_ft ft: 15 s more for each foot of diameter", (row) => {
    expect([row["60"] - row["48"], row["72"] - row["60"]]).toEqual([15, 15]);
    for (const d_in of [48, 60, 72] as const)
      expect(limitsFor("astm-c1244", chamber(d_in, 10, { hold_s: row[`${d_in}`] })).hold_s).toBe(row[`${d_in}`]);
  });

  it.each([...reference.newHampshire.rows, ...reference.carmel.rows])("$depth_ft ft: $time_min min", ({ time_min }) => {
    expect(limitsFor("astm-c1244", chamber(48, 10, { hold_s: time_min * 60 })).hold_s).toBe(time_min * 60);
  });

  it.each(reference.examples)("$id: $d_in in, $depth_ft ft, $time_s s, $from_inHg to $to_inHg inHg: $expected", (example) => {
    const limits = limitsFor("astm-c1244", chamber(example.d_in, example.depth_ft, { hold_s: example.time_s }));
    const lost_Pa = (example.from_inHg - example.to_inHg) * INHG_Pa;
    expect(lost_Pa <= limits.permittedDrop_Pa ? "pass" : "fail").toBe(example.expected);
  });
});
