import { describe, expect, it } from "vitest";
import { keyedActionFrom, keyedEntryOf } from "../../../../src/core/judging/keyed/entries.ts";
import { limitsFor } from "../../../../src/core/methods/index.ts";
import { errorOf } from "../../../support/errors.ts";

const UK = limitsFor("uk-100mm", { dn_mm: 150, material: null, laid_length_m: null });
const VACUUM = limitsFor("astm-c1244", { dn_mm: 1200, material: null, laid_length_m: 3 });

/** Conventional millimetre of water, Pa (NIST SP 811, appendix B.8: 9.806 65). */
const MM = 9.80665;

describe("what a crew types", () => {
  it.each([
    ["98", 98, 1],
    [" 98 mm ", 98, 1],
    ["98.5", 98.5, 1],
    ["98 mmH2O", 98, 1],
    ["0", 0, 1],
    ["-1", -1, 1],
    // Both legs from the middle of the scale: added.
    ["49 49", 98, 2],
    ["49/49", 98, 2],
    ["L49 R49", 98, 2],
    ["L49 R-49", 98, 2],
    ["-49 49 mm", 98, 2],
    ["49 -47", 96, 2],
    // Places on one scale: their difference; a tube that has lost water rests below the middle.
    ["-2 -2", 0, 2],
    // 1 mbar = 100 Pa.
    ["10 mbar", 1000 / MM, 1],
  ] as const)("%j is %d mm, %i scales", (line, mm, looks) => {
    const entry = keyedEntryOf(keyedActionFrom(line, UK));
    if (entry?.kind !== "reading") throw new Error("no reading");
    expect(entry.size_Pa / MM).toBeCloseTo(mm, 8);
    expect(entry).toMatchObject({ looks, starts: false });
  });

  it("knows words", () => {
    expect(keyedActionFrom("Pumped", UK)).toBe("pumped");
    expect(keyedActionFrom("topped up", UK)).toBe("pumped");
    expect(keyedActionFrom("bled", UK)).toBe("bled");
    expect(keyedActionFrom("skip", UK)).toBe("skip-vent");
    expect(keyedEntryOf(keyedActionFrom("start 98", UK))).toMatchObject({ kind: "reading", starts: true });
    expect(keyedEntryOf("pumped")).toEqual({ kind: "pumped" });
  });

  it("takes a vacuum with or without its minus", () => {
    // 10 inHg = 33 863.88640341 Pa (inch of mercury of 13 595.1 kg/m³).
    for (const line of ["10 inHg", "-10 inHg"])
      expect(keyedEntryOf(keyedActionFrom(line, VACUUM))).toMatchObject({ size_Pa: expect.closeTo(33_863.886, 2) });
  });

  it.each([
    ["ninety", "entry-unreadable", /no reading/],
    ["98,5", "entry-unreadable", /decimal sign is a point/],
    ["98 furlongs", "entry-unreadable", /"furlongs" is no unit/],
    ["98 98 98", "entry-unreadable", /no reading/],
    ["", "entry-unreadable", /no reading/],
    ["start", "entry-unreadable", /no reading/],
    ["-40", "reading-negative", /other side/],
    ["9800", "reading-absurd", /127 mm/],
    ["1e9", "entry-unreadable", /no/],
  ])("%j is said back: %s", (line, code, said) => {
    const error = errorOf(() => keyedActionFrom(line, UK));
    expect(error.code).toBe(code);
    expect(`${error.message} ${error.hint}`).toMatch(said);
  });

  it.each(["added 0.35", "stop", "read", "read x", "read 1e400", "legs 1 2", "start-pumped"])(
    "%j of a journal is none of its actions",
    (action) => expect(keyedEntryOf(action)).toBeNull(),
  );
});
