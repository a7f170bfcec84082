import { describe, expect, it } from "vitest";
import { actionFrom, entryOf } from "../../../../src/core/judging/water/entries.ts";
import { errorOf } from "../../../support/errors.ts";

const litres = { figure: "litres", unit: "kPa" } as const;
const head = { figure: "head", unit: "kPa" } as const;

describe("a line typed in a water test", () => {
  it.each([
    ["0.35", litres, "added 0.35"],
    ["+0.35", litres, "added 0.35"],
    [" .5 L ", litres, "added 0.5"],
    ["12 litres", litres, "added 12"],
    ["0", litres, "added 0"],
    ["added 0.4", head, "added 0.4"],
    ["+0.4", head, "added 0.4"],
    ["taken 0.1 L", litres, "taken 0.1"],
    ["32", head, "head 32000"],
    ["head 32", litres, "head 32000"],
    ["head 3000 mmH2O", litres, "head 29419.949999999997"],
    ["320 mbar", litres, "head 32000"],
  ] as const)("%j → %s", (line, expecting, action) => {
    expect(actionFrom(line, expecting)).toBe(action);
    expect(entryOf(action)).not.toBeNull();
  });

  it.each([
    ["-0.2", litres, "litres-negative"],
    ["taken -1", litres, "litres-negative"],
    ["−0.2", litres, "litres-negative"],
    ["1001", litres, "litres-absurd"],
    ["1e9", litres, "entry-unreadable"],
    ["0,35", litres, "entry-unreadable"],
    ["1.2.3", litres, "entry-unreadable"],
    ["a lot", litres, "entry-unreadable"],
    ["", litres, "entry-unreadable"],
    ["5 gallons", litres, "entry-unreadable"],
    ["head 900", litres, "head-absurd"],
    ["head -3 kPa", litres, "head-absurd"],
    ["head high", litres, "pressure-unreadable"],
  ] as const)("%j is refused: %s %s", (line, expecting, code) => {
    expect(errorOf(() => actionFrom(line, expecting)).code).toBe(code);
  });

  it("says that the decimal sign is a point", () => {
    expect(errorOf(() => actionFrom("0,35", litres)).hint).toMatch(/The decimal sign is a point/);
  });
});

describe("a key of the journal", () => {
  it.each(["added -1", "added NaN", "added 1001", "added", "head 1e9", "stop", "added 1 2", "added Infinity"])(
    "%j is no entry",
    (action) => {
      expect(entryOf(action)).toBeNull();
    },
  );
});
