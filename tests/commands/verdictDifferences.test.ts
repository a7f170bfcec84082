import { expect, it } from "vitest";
import { differences } from "../../src/commands/verdictDifferences.ts";
import { FedJudge } from "../support/fedJudge.ts";

const verdict = new FedJudge().rest(20).end();

it.each([
  ["the same", {}, []],
  ["another program only", { program: "staunch replay" }, []],
  ["another word", { verdict: "pass" as const }, ['verdict "void" became "pass"']],
  ["the last digit", { hold: { ...verdict.hold, drop_Pa: 0.1 + 0.2 } }, ["hold.drop_Pa null became 0.30000000000000004"]],
  ["a reason less", { reasons: [] }, [expect.stringMatching(/^reasons\.0 .* became undefined$/)]],
])("tells where two verdicts part: %s", (_, change, lines) => {
  const found = differences(verdict, { ...verdict, ...change });
  expect(found).toEqual(lines);
});
