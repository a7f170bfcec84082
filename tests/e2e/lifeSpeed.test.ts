import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { Verdict } from "../../src/core/record.ts";
import { runProgram } from "../support/program.ts";
import { pipeKnots, startInstrument } from "../support/scpiInstrument.ts";

/** One run at life speed: the built program, a real tty, and an instrument in another process and another language. */
let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "staunch-life-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const METHOD = {
  id: "short-own",
  title: "A short method of our own, for this check",
  source: "made up",
  medium: "air",
  stop: "fixed-time",
  charge: "1100 Pa",
  settle: "20 s",
  test: "1000 Pa",
  hold: "30 s",
  permittedDrop: "500 Pa",
  boundary: "less-or-equal",
};
/** What the instrument plays; the drop follows from it by hand: 20 Pa/min over half a minute. */
const LEAK_PA_MIN = 20;
const KNOTS = pipeKnots({
  quiet_s: 8,
  charge_Pa: 1100,
  settled_Pa: 1080,
  tau_s: 6,
  leak_Pa_min: LEAK_PA_MIN,
  pump_s: 15,
  trim_s: 98,
  start_Pa: 1003,
  vent_s: 152,
});

it("takes a SCPI gauge on a real tty from the first stroke to a verdict that can be replayed", { timeout: 240_000 }, async () => {
  const archive = join(folder, "site.staunch");
  const method = join(folder, "short-own.json");
  writeFileSync(method, JSON.stringify(METHOD));
  const instrument = await startInstrument({ knots: KNOTS, noise_Pa: 0.4, seed: 11 });
  const gauge = `serial://${instrument.path}?protocol=scpi`;
  const words = ["--archive", archive, "test", "--gauge", gauge, "--method", method, "--dn", "20", "--section", "E2E", "--json"];
  const test = await runProgram(words);
  await instrument.end();

  expect(test.err).not.toContain("(defect)");
  const verdict = JSON.parse(test.out) as Verdict;
  expect(verdict).toMatchObject({ schema: "staunch/verdict/1", verdict: "pass", judge: "live", source: "pseudo-terminal", reasons: [] });
  expect(test.code).toBe(0);
  expect(verdict.hold.drop_Pa ?? Number.NaN).toBeCloseTo(LEAK_PA_MIN / 2, -0.3);
  expect((verdict.hold.to_s ?? 0) - (verdict.hold.from_s ?? 0)).toBeCloseTo(30, 6);
  expect(Math.abs((verdict.hold.start_Pa ?? 0) - 1000)).toBeLessThanOrEqual(20);

  const shown = await runProgram(["--archive", archive, "records", "show", "last", "--json"]);
  expect(JSON.parse(shown.out)).toMatchObject({ state: "ended", start: { id: verdict.record, source: "pseudo-terminal" }, verdict });
  const replayed = await runProgram(["--archive", archive, "replay", "last", "--json"]);
  expect(replayed.err).toContain("the verdict is the recorded one, to the last digit");
  expect(JSON.parse(replayed.out)).toEqual(verdict);
  expect(replayed.code).toBe(0);
});
