import { describe, expect, it } from "vitest";
import en from "../../../fixtures/reference/en1610.json" with { type: "json" };
import { limitsFor, METHODS } from "../../../src/core/methods/index.ts";
import type { Told } from "../../../src/core/methods/method.ts";
import { errorOf } from "../../support/errors.ts";
import { toldFor } from "../../support/methodFigures.ts";

const pipe = (told: Told = {}, dn_mm = 300) => ({ dn_mm, material: "clay" as const, laid_length_m: 45, ...told });
const value = (id: string) => en.values.find((one) => one.id === id)?.value;
const refusal = (id: string, told: Told, dn_mm = 300) => errorOf(() => limitsFor(id, pipe(told, dn_mm)));

describe("chambers tested with air, EN 1610 13.1 (read)", () => {
  it.each(["en1610-la", "en1610-lb"])("%s: half the pipe's time", (id) => {
    for (const dn of [800, 1000, 1200]) {
      const limits = limitsFor(id, pipe({ chamberAir: "allowed" }, dn));
      expect(limits.hold_s).toBe(Number(value("en1610.manhole_air_time_factor")) * limitsFor(id, pipe({}, dn)).hold_s);
      expect(limits.chamber).toBe(true);
    }
  });

  it("shows how the cover is lifted", () => {
    // 55 mbar on DN 1000: 5500 Pa × 0.7854 m².
    expect(limitsFor("en1610-lb", pipe({ chamberAir: "allowed" }, 1000)).cautions.join("\n")).toMatch(
      /cover or plate over DN 1000 is lifted with 4320 N/,
    );
  });

  it("is LA or LB only, up to DN 1250, and never where it is forbidden", () => {
    for (const id of ["en1610-lc", "en1610-ld"]) expect(refusal(id, { chamberAir: "allowed" }, 1000).code).toBe("chamber-not-covered");
    const most = Number(value("en1610.manhole_air_max_dn"));
    expect(limitsFor("en1610-la", pipe({ chamberAir: "allowed" }, most)).hold_s).toBeGreaterThan(0);
    expect(refusal("en1610-la", { chamberAir: "allowed" }, most + 1).code).toBe("chamber-too-large");
    expect(refusal("en1610-la", { chamberAir: "forbidden" }, 1000)).toMatchObject({
      code: "chamber-air-forbidden",
      hint: expect.stringContaining("en1610-w"),
    });
    expect(refusal("uk-100mm", { chamberAir: "allowed" }, 1000).code).toBe("chamber-not-covered");
  });
});

describe("joint by joint, EN 1610 13.4 (from memory)", () => {
  it.each([
    [1000, "la"],
    [5000, "lb"],
    [10_000, "lc"],
    [20_000, "ld"],
  ] as const)("%d Pa brings drop and time of the pipe, and a metre of it", (test_Pa, row) => {
    const joint = limitsFor("en1610-joint", pipe({ test_Pa }, 1200));
    const whole = limitsFor(`en1610-${row}`, pipe({}, 1200));
    expect([joint.hold_s, joint.permittedDrop_Pa, joint.laid_length_m]).toEqual([whole.hold_s, whole.permittedDrop_Pa, 1]);
  });

  it("asks for the pressure, knows only the table's, and says when joints are not usual", () => {
    expect(refusal("en1610-joint", {})).toMatchObject({ code: "test-pressure-missing", hint: expect.stringContaining("--test-pressure") });
    expect(refusal("en1610-joint", { test_Pa: 12_345 }).code).toBe("test-pressure-unknown");
    expect(limitsFor("en1610-joint", pipe({ test_Pa: 10_000 }, 600)).cautions.join("\n")).toContain("above DN 1000 only");
    expect(refusal("en1610-lc", { test_Pa: 10_000 }).code).toBe("test-pressure-own");
  });
});

describe("several sizes in one test", () => {
  const also = [{ dn_mm: 400, length_m: 10 }];
  it("EN 1610 and DWA have no rule and say what can be done", () => {
    for (const id of ["en1610-lc", "dwa139-lc"])
      expect(refusal(id, { also })).toMatchObject({ code: "several-sizes", hint: expect.stringContaining("ncpi") });
  });

  it("where the time does not go by size it stays, thrust goes by the largest bore, and the air is counted", () => {
    const limits = limitsFor("uk-100mm", pipe({ also }));
    expect([limits.hold_s, limits.plugBore_mm]).toEqual([300, 400]);
    // π/4 (0.3² × 45 + 0.4² × 10)
    expect(limits.volume_m3).toBeCloseTo(4.43749, 4);
    // 1078.7315 Pa × π/4 × 0.4² = 135.6 N
    expect(limits.cautions.join("\n")).toContain("DN 400 is pushed out with 136 N");
  });
});

describe("bore apart from DN", () => {
  it("keeps the time of the DN and takes the bore for volume", () => {
    const limits = limitsFor("en1610-lc", { ...pipe({ bore_mm: 299.6 }, 315), material: "pvc" });
    expect(limits.hold_s).toBe(limitsFor("en1610-lc", pipe({}, 315)).hold_s);
    expect(limits.volume_m3).toBeCloseTo((Math.PI / 4) * 0.2996 ** 2 * 45, 9);
  });

  it("says that DN 160 of plastic is an outside diameter, until the bore is told", () => {
    const plastic = { ...pipe({}, 160), material: "pvc" as const };
    expect(limitsFor("en1610-lc", plastic).working.join("\n")).toContain("DN/OD");
    expect(limitsFor("en1610-lc", { ...plastic, bore_mm: 150.6 }).working.join("\n")).not.toContain("DN/OD");
    expect(limitsFor("en1610-lc", pipe({}, 160)).working.join("\n")).not.toContain("DN/OD");
  });

  it("takes 12 in for DN 300 where the standard speaks in DN", () => {
    const inches = limitsFor("en1610-lc", pipe({}, 304.8));
    expect(inches.hold_s).toBe(limitsFor("en1610-lc", pipe()).hold_s);
    expect(inches.working.join("\n")).toContain("12 in is DN 300");
    expect(inches.dn_mm).toBe(304.8);
  });
});

describe("groundwater above the crown", () => {
  it("is kept for the judge where the method raises nothing, with EN 1610's word on it", () => {
    const limits = limitsFor("en1610-lc", pipe({ groundwater_m: 0.5 }));
    expect(limits.groundwater_Pa).toBeCloseTo(0.5 * 9806.65, 6);
    expect(limits.test_Pa).toBe(10_000);
    expect(limits.cautions.join("\n")).toMatch(/design's own/);
    expect(limitsFor("en1610-lc", pipe({ groundwater_m: 0 })).groundwater_Pa).toBeUndefined();
  });

  it("is refused from the test pressure on", () => {
    expect(refusal("en1610-la", { groundwater_m: 0.11 }).code).toBe("groundwater-too-high");
    expect(refusal("uk-100mm", { groundwater_m: 0.1 }).code).toBe("groundwater-too-high");
    expect(limitsFor("en1610-la", pipe({ groundwater_m: 0.1 })).groundwater_Pa).toBeCloseTo(980.665, 6);
  });
});

describe("traps left in", () => {
  const GENTLE = ["uk-50mm-traps", "adh-sanitary-38mm"];
  it.each(METHODS.filter(({ id }) => !id.endsWith("-w") && !id.endsWith("-water") && !GENTLE.includes(id)))(
    "$id would blow them",
    ({ id }) => {
      expect(refusal(id, { traps: true, ...toldFor(id) })).toMatchObject({
        code: "traps-left-in",
        hint: expect.stringContaining("uk-50mm-traps"),
      });
    },
  );

  it.each(GENTLE)("%s may keep them", (id) => expect(limitsFor(id, pipe({ traps: true })).told).toEqual({ traps: true }));
});

describe("figures of one's own", () => {
  it("may lengthen a hold, never shorten it", () => {
    const longer = limitsFor("en1610-lc", pipe({ hold_s: 600 }));
    expect(longer.hold_s).toBe(600);
    expect(longer.working.join("\n")).toContain("10 min as told");
    expect(refusal("en1610-lc", { hold_s: 239 }).code).toBe("hold-too-short");
  });

  it("may set a permitted drop only where the method leaves it open", () => {
    expect(refusal("en1610-lc", { permittedDrop_Pa: 100 }).code).toBe("permitted-drop-own");
    expect(limitsFor("adh-sanitary-38mm", pipe({ permittedDrop_Pa: 58.8 })).permittedDrop_Pa).toBe(58.8);
  });

  it("are not taken by a test with water", () => {
    const error = refusal("en1610-w", { hold_s: 3600 });
    expect(error.code).toBe("word-not-for-water");
    expect(error.message).toContain("--hold");
  });
});

describe("wording at the limit", () => {
  it.each([
    ["en1610-lc", "a drop of exactly 15 mbar does not pass"],
    ["uk-100mm", "a drop of exactly 25 mmH2O passes"],
    ["uk-shw509", "exactly 75 mmH2O left passes"],
    ["ncpi", "a fall of 1 psi in exactly"],
  ])("%s: %s", (id, words) => expect(limitsFor(id, pipe()).working.join("\n")).toContain(words));
});
