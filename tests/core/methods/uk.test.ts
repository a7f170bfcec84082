import { describe, expect, it } from "vitest";
import reference from "../../../fixtures/reference/uk.json" with { type: "json" };
import { limitsFor } from "../../../src/core/methods/index.ts";

const MM_Pa = 9.80665;
const pipe = { dn_mm: 150, material: "clay", laid_length_m: 30 } as const;
const value = (id: string): number => {
  const found = reference.rows.find((row) => row.id === id);
  if (found === undefined) throw new Error(`${id} is not in the reference`);
  return found.value;
};

describe("tests by water gauge", () => {
  it("uk-100mm: figures of the trade", () => {
    const limits = limitsFor("uk-100mm", pipe);
    expect(limits.test_Pa / MM_Pa).toBeCloseTo(value("uk.trade.start"), 9);
    expect(limits.permittedDrop_Pa / MM_Pa).toBeCloseTo(value("uk.trade.max_loss"), 9);
    expect(limits.hold_s / 60).toBe(value("uk.trade.time"));
    expect(limits.boundary).toBe("less-or-equal");
  });

  it("adh-110mm: the clock starts at 100 mm, not at the 110 mm it is charged to", () => {
    const limits = limitsFor("adh-110mm", pipe);
    expect(limits.charge_Pa / MM_Pa).toBeCloseTo(value("adh.drain.initial"), 9);
    expect(limits.settle_s / 60).toBe(value("adh.drain.initial_hold"));
    expect(limits.test_Pa / MM_Pa).toBeCloseTo(value("adh.drain.start"), 9);
    expect(limits.permittedDrop_Pa / MM_Pa).toBeCloseTo(value("adh.drain.max_loss"), 9);
    expect(limits.hold_s / 60).toBe(value("adh.drain.time"));
  });

  it("needs no DN, and says then that thrust is unknown", () => {
    const limits = limitsFor("uk-100mm", { dn_mm: null, material: null, laid_length_m: null });
    expect(limits.cautions.join("\n")).toContain("give the DN");
  });

  it("warns above the size Approved Document H speaks of", () => {
    const above = value("adh.drain.max_dn") + 75;
    expect(limitsFor("adh-110mm", { ...pipe, dn_mm: above }).cautions.join("\n")).toContain("up to DN 300");
    expect(limitsFor("adh-110mm", pipe).cautions.join("\n")).not.toContain("up to DN 300");
  });

  it("warns of traps left in", () => {
    for (const id of ["uk-100mm", "adh-110mm"]) expect(limitsFor(id, pipe).cautions.join("\n")).toContain("Traps and gullies");
  });
});
