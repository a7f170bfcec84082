import { describe, expect, it } from "vitest";
import { listLines, recordLines } from "../../src/commands/recordPage.ts";
import type { RecordStart } from "../../src/core/record.ts";
import { sampleStart } from "../support/records.ts";

const page = (over: Partial<RecordStart>, unfinished: Parameters<typeof recordLines>[1] = null): string[] =>
  recordLines({ number: 1, start: sampleStart(over), end: null }, unfinished);

const line = (lines: string[], name: string): string | undefined => lines.find((one) => one.startsWith(name))?.slice(9);

describe("recordLines", () => {
  it("says what is not known as such", () => {
    const lines = page({ tester: null, section: { id: "S1", dn_mm: null, material: null, laid_length_m: null } });
    expect([line(lines, "tester"), line(lines, "section"), line(lines, "ended")]).toEqual(["not named", "S1", "no end"]);
  });

  it("tells a running test from a broken-off one and from what cannot be told", () => {
    expect(page({}, "running").at(-1)).toMatch(/^RUNNING/);
    expect(page({}, "interrupted").at(-1)).toMatch(/^INTERRUPTED/);
    expect(page({}, null).at(-1)).toMatch(/^NO END/);
  });

  it("gives the gauge's own figures in the unit of the method", () => {
    // 9.80665 Pa are 1 mm of conventional water.
    const gauge = { ...sampleStart().gauge, resolution_Pa: 0.980665, accuracy_Pa: null, accuracy_fraction: 0.001 };
    expect(line(page({ gauge }), "gauge")).toMatch(/, vented, steps of 0\.1 mmH2O, within 0\.1 %$/);
  });

  it("words a floor and a timed drop as the method does", () => {
    const floor = { ...sampleStart().limits, floor_Pa: 735.49875, stop: "fixed-drop" as const, hold_s: 90 };
    expect(line(page({ limits: floor }), "limits")).toMatch(/at least 1:30 for the drop, at least 75\.0? mmH2O must remain$/);
  });

  it("names a source that proves nothing", () => {
    for (const source of ["simulated", "imported", "pseudo-terminal"] as const)
      expect(line(page({ source }), "source")).toBe(`${source.toUpperCase()}: proves no section`);
    expect(line(page({}), "source")).toBeUndefined();
  });
});

describe("listLines", () => {
  it("is empty for no records", () => {
    expect(listLines([], () => null)).toEqual([]);
  });
});
