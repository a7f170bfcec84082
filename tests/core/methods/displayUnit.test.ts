import { describe, expect, it } from "vitest";
import { displayDecimals, displayUnit } from "../../../src/core/methods/displayUnit.ts";
import { METHODS } from "../../../src/core/methods/index.ts";
import { parsePressure } from "../../../src/core/units.ts";
import { toldFor } from "../../support/methodFigures.ts";

const worded = (test: string, drop: string) => ({ test_Pa: parsePressure(test), permittedDrop_Pa: parsePressure(drop) });

/** EN 1610 words air in millibar (as transcribed) and water in kilopascal; the others as the reference words them. */
const OWN: readonly (readonly [string, string])[] = [
  ["en1610-w", "kPa"],
  ["en1610", "mbar"],
  ["dwa", "mbar"],
  ["onorm", "mbar"],
  ["astm-c1244", "inHg"],
  ["astm", "psi"],
  ["ncpi", "psi"],
  ["ipc", "psi"],
  ["asnzs", "kPa"],
  ["", "mmH2O"],
];

describe("the unit a method is worded in", () => {
  it.each(METHODS)("is its standard's own: $id", (method) => {
    for (const dn_mm of [100, 150, 225, 300, 600]) {
      const unit = displayUnit(method.limits({ dn_mm, material: "clay", laid_length_m: 40, ...toldFor(method.id) }));
      expect(unit).toBe(OWN.find(([start]) => method.id.startsWith(start))?.[1]);
    }
  });

  // Wordings of air and vacuum tests in American practice: from memory.
  it.each([
    ["3.5 psi", "1 psi", "psi"],
    ["4 psi", "0.5 psi", "psi"],
    ["-10 inHg", "1 inHg", "inHg"],
    ["100 mmH2O", "25 mmH2O", "mmH2O"],
    ["38 mmH2O", "1 mmH2O", "mmH2O"],
    ["200 mbar", "15 mbar", "mbar"],
  ])("of %s losing %s is %s", (test, drop, unit) => expect(displayUnit(worded(test, drop))).toBe(unit));
});

describe("decimals", () => {
  it.each([
    [20, "mbar", 2],
    [200, "mbar", 1],
    [19.6133, "mmH2O", 1],
    [400, "mbar", 1],
    [483, "psi", 2],
    [20, "Pa", 0],
    [0.0001, "psi", 4],
  ] as const)("of a tolerance of %f Pa in %s: %d, a fifth of it", (startTolerance_Pa, unit, decimals) =>
    expect(displayDecimals({ startTolerance_Pa }, unit)).toBe(decimals),
  );
});
