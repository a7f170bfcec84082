import { describe, expect, it } from "vitest";
import { compareVerdicts, differences, isSamePart } from "../../src/core/verdictDifferences.ts";
import { FedJudge } from "../support/fedJudge.ts";

const verdict = new FedJudge().rest(20).end();
const dropping = (drop_Pa: number) => ({ ...verdict, hold: { ...verdict.hold, drop_Pa } });

it.each([
  ["the same", {}, []],
  ["another program only", { program: "staunch replay" }, []],
  ["another judge that says the same", { judge_version: verdict.judge_version + 1 }, []],
  ["another word", { verdict: "pass" as const }, ['verdict "void" became "pass"']],
  ["a figure", { hold: { ...verdict.hold, drop_Pa: 0.1 + 0.2 } }, ["hold.drop_Pa null became 0.30000000000000004"]],
  ["a reason less", { reasons: [] }, [expect.stringMatching(/^reasons\.0 .* became undefined$/)]],
  ["a reason put otherwise", { reasons: verdict.reasons.map((one) => ({ ...one, text: "In other words." })) }, []],
  [
    "another code",
    { reasons: verdict.reasons.map((one) => ({ ...one, code: "topped-up" as const })) },
    [expect.stringContaining("reasons.0.code")],
  ],
])("tells where two verdicts part: %s", (_, change, lines) => {
  expect(differences(verdict, { ...verdict, ...change })).toEqual(lines);
});

describe("six digits", () => {
  // Rounded by hand.
  it.each([
    [804.4371, 804.4362, false],
    [804.43749999999, 804.43750000001, true],
    [804.4371, 804.43712, true],
    [0.123456, 0.1234564, true],
    [0.123456, 0.123457, false],
    [-1e-9, 1e-9, false],
  ])("%d and %d: the same %s", (before, after, same) => {
    expect(differences(dropping(before), dropping(after)).length === 0).toBe(same);
    expect(isSamePart(before, after)).toBe(same);
    expect(isSamePart({ figures: { a: before } }, { figures: { a: after } })).toBe(same);
  });

  it("are told from the last one", () => {
    expect(compareVerdicts(dropping(1), dropping(1))).toEqual({ same: "to the last digit", parted: [] });
    expect(compareVerdicts(dropping(1), dropping(1 + 1e-9))).toEqual({ same: "to six digits", parted: [] });
    expect(compareVerdicts(dropping(1), dropping(2))).toEqual({ same: null, parted: ["hold.drop_Pa 1 became 2"] });
  });
});

it("nothing is the same as nothing, and no figure as none", () => {
  expect(isSamePart(undefined, null)).toBe(true);
  expect(isSamePart(null, 0)).toBe(false);
});
