/** A second opinion that is another, from the pipe to the supervisor's list; nothing of it put there by hand. */
import { join } from "node:path";
import { expect, it } from "vitest";
import { temporaryFolder } from "../support/archives.ts";
import { runProgram } from "../support/program.ts";

// A crew that opens the pipe before the hold: live no hold was made, while the whole curve shows that the pipe leaks too much (1.25 of the limit).
const HASTY = ["--gauge", "sim://?leak=1.25&seed=17&wind=5&rate=1&crew=hasty", "--pace", "2000", "--plain"];
const TIGHT = ["--gauge", "sim://?leak=0.3&seed=3", "--pace", "2000", "--plain"];
const METHOD = ["--method", "uk-100mm", "--dn", "100", "--material", "pvc", "--laid-length", "30"];

it("is told after the test, found by its words, shown with the record, counted, and worked out anew where nothing is kept", async () => {
  const archive = ["--archive", join(temporaryFolder(), "site.staunch")];
  const run = (...words: string[]) => runProgram([...archive, ...words]);
  await run("test", ...TIGHT, ...METHOD, "--section", "S1 (invented)");
  const tested = await run("test", ...HASTY, ...METHOD, "--section", "S2 (invented)");
  expect([tested.code, tested.out]).toEqual([2, expect.stringContaining("VOID: this attempt proves nothing")]);
  const FAILS = "second opinion: FAIL, drop over limit";
  expect(tested.out).toContain(FAILS);
  for (const words of [["differs"], ["second:fail", "verdict:void"], ["not:pass", "differs", "S2"]]) {
    const { out } = await run("review", "list", ...words);
    expect(out.trim().split("\n")).toEqual([expect.stringMatching(/VOID.*S2 \(invented\).*SIMULATED second: FAIL$/)]);
  }
  expect((await run("review", "list", "not:differs")).out).toMatch(/PASS.*S1 \(invented\)/);
  expect((await run("records", "show", "last")).out).toContain(FAILS);
  const { groups } = JSON.parse((await run("review", "summary", "--by", "method", "--json")).out);
  expect(groups).toMatchObject([{ name: "uk-100mm", tests: 2, pass: 1, void: 1, differs: 1, first: { of: 1, passed: 1 } }]);
  const copy = join(temporaryFolder(), "copy.staunch");
  await run("handover", "all", "-o", copy);
  expect((await runProgram(["--archive", copy, "records", "show", "last"])).out).toContain(FAILS);
});
