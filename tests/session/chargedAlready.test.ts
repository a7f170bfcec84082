import { expect, it } from "vitest";
import { foldJournal } from "../../src/commands/foldJournal.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import { closedLoop } from "../support/closedLoop.ts";

const limits = limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 30 });

/** What a gauge would have told that was joined to the pipe a moment before it was charged to its height. */
async function joinedLate(leak: number) {
  const { start, journal, last } = await closedLoop({ sim: `leak=${leak}&seed=3`, limits, keep: false });
  const settle = last.judge.verdict?.phases.find(({ phase }) => phase === "settle");
  if (settle === undefined) throw new Error("the pipe was never charged");
  const late = journal.filter(({ at_ms }) => at_ms >= settle.from_s * 1000 - 3000).map((event, seq) => ({ ...event, seq }));
  return foldJournal(start, late);
}

it.each([
  [0.5, "pass"],
  [1.6, "fail"],
])("a vented gauge joined to a charged pipe of %f times the leak is accepted: %s", async (leak, word) => {
  const verdict = await joinedLate(leak);
  expect(verdict.verdict).toBe(word);
  expect(verdict.phases.find(({ phase }) => phase === "settle")?.from_s).toBeLessThan(10);
  expect(verdict.reasons.map(({ code }) => code)).not.toContain("gauge-not-proven");
});
