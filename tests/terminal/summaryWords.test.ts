import { expect, it } from "vitest";
import { countedText, driftWords, SUMMARY_COLUMNS } from "../../src/terminal/summaryWords.ts";

it.each([
  [null, "no zero kept"],
  [{ latest_wall_ms: 0, latest_Pa: 0, perMonth_Pa: null, inTest_Pa: null, zeros: 1 }, "zero 0 Pa · 1 zero"],
  [
    { latest_wall_ms: 0, latest_Pa: 1.234, perMonth_Pa: -0.51, inTest_Pa: 2.04, zeros: 12 },
    expect.stringMatching(/^zero 1\.23 Pa · .0\.51 Pa in 30 days · at most 2\.0 Pa in one test · 12 zeros$/),
  ],
])("%j: %s", (drift, words) => expect(driftWords(drift)).toEqual(words));

it("explains the column of first passes by either of its names", () => {
  const { title, short } = SUMMARY_COLUMNS.find((column) => column.title === "passed first") ?? { title: "?", short: "?" };
  expect(countedText(true)).toContain(`${title}, ${short}: of the sections`);
});
