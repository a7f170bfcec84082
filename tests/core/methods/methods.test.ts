import { describe, expect, it } from "vitest";
import { findMethod, limitsFor, METHODS } from "../../../src/core/methods/index.ts";
import { parseMaterial } from "../../../src/core/methods/materials.ts";
import type { OwnMethod } from "../../../src/core/methods/method.ts";
import { thrust_N } from "../../../src/core/physics/thrust.ts";
import { errorOf } from "../../support/errors.ts";
import { toldFor } from "../../support/methodFigures.ts";

const pipe = { dn_mm: 300, material: "clay", laid_length_m: 45 } as const;

const pipeFor = (id: string) => ({ ...pipe, ...toldFor(id) });
/** Joint tests close off a metre of pipe, whatever the section's length. */
const lengthOf = (id: string): number => (id.endsWith("-joint") ? 1 : pipe.laid_length_m);

const vacuum: OwnMethod = {
  id: "our-vacuum",
  title: "Our chamber vacuum",
  source: "made up for this test",
  medium: "air",
  stop: "fixed-time",
  charge_Pa: -35_000,
  settle_s: 30,
  test_Pa: -34_000,
  hold_s: 60,
  permittedDrop_Pa: 3400,
  floor_Pa: null,
  boundary: "less-or-equal",
  startTolerance_Pa: null,
};

describe("the list", () => {
  it("holds each id once, in lower case", () => {
    const ids = METHODS.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids).toEqual(ids.map((id) => id.toLowerCase()));
    expect(ids).toEqual(expect.arrayContaining(["en1610-la", "en1610-lb", "en1610-lc", "en1610-ld", "uk-100mm", "adh-110mm"]));
    expect(findMethod("EN1610-LA")?.id).toBe("en1610-la");
  });

  it("says what there is when an id is unknown", () => {
    const error = errorOf(() => limitsFor("en1610-lz", pipe));
    expect(error.code).toBe("method-unknown");
    expect(error.hint).toContain("en1610-la");
  });

  it.each(METHODS.map((method) => [method.id, method] as const))("%s is whole and makes sense", (_, method) => {
    const limits = method.limits(pipeFor(method.id));
    const size = Math.abs(limits.test_Pa);
    expect(limits.method).toEqual({ id: method.id, title: method.title, source: method.source });
    expect(Math.abs(limits.charge_Pa)).toBeGreaterThanOrEqual(size);
    expect(Math.abs(limits.top_Pa)).toBeGreaterThan(Math.abs(limits.charge_Pa));
    expect(limits.permittedDrop_Pa).toBeGreaterThan(0);
    expect(limits.permittedDrop_Pa).toBeLessThan(size);
    expect(limits.startTolerance_Pa).toBeGreaterThan(0);
    expect(limits.hold_s).toBeGreaterThan(0);
    expect(limits.provenance).toMatch(/read|memory/);
    expect(limits.working.length).toBeGreaterThan(2);
    expect(limits).toMatchObject({ ...pipe, laid_length_m: lengthOf(method.id) });
  });

  it.each(METHODS.map((method) => [method.id, method] as const))(
    "%s says the push on a plug at charge and top pressure, and to stay away",
    (_, method) => {
      const limits = method.limits(pipeFor(method.id));
      const text = limits.cautions.join("\n");
      for (const pressure_Pa of [limits.charge_Pa, limits.top_Pa])
        expect(text).toContain(`${thrust_N(pressure_Pa, pipe.dn_mm).toFixed(0)} N (`);
      expect(text).toMatch(/nobody in line with a plug/);
      expect(text).toMatch(/competent person/);
      expect(text).toMatch(/never permission/);
    },
  );
});

describe("a method of one's own", () => {
  it("keeps its figures, turns to vacuum by its sign, and warns of covers and inward pull", () => {
    const limits = limitsFor(vacuum, { ...pipe, dn_mm: 1200 });
    expect(limits.direction).toBe("vacuum");
    expect(limits).toMatchObject({
      charge_Pa: -35_000,
      test_Pa: -34_000,
      hold_s: 60,
      permittedDrop_Pa: 3400,
      startTolerance_Pa: 680,
      top_Pa: -40_250,
    });
    expect(limits.cautions.join("\n")).toMatch(/drawn inwards/);
    expect(limits.cautions.join("\n")).toMatch(/cover/);
  });

  it("speaks of a floor when it is worded as one", () => {
    const limits = limitsFor(
      { ...vacuum, charge_Pa: 1100, test_Pa: 1000, floor_Pa: 750, permittedDrop_Pa: 250, startTolerance_Pa: 30 },
      pipe,
    );
    expect(limits).toMatchObject({ floor_Pa: 750, permittedDrop_Pa: 250, startTolerance_Pa: 30, direction: "pressure" });
    expect(limits.working.join("\n")).toContain("left after 1 min");
  });
});

describe("parseMaterial", () => {
  it.each([
    ["PVC", "pvc"],
    ["dry concrete", "dry-concrete"],
    ["ductile_iron", "ductile-iron"],
  ])("%s → %s", (text, material) => {
    expect(parseMaterial(text)).toBe(material);
  });

  it("asks which concrete", () => {
    expect(errorOf(() => parseMaterial("concrete")).hint).toContain("dry-concrete or wet-concrete");
    expect(errorOf(() => parseMaterial("cheese")).hint).toContain("ductile-iron");
  });
});
