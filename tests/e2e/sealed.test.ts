/** The built program seals what it tests, and loses no test for a key it cannot have. */
import { join } from "node:path";
import { expect, it } from "vitest";
import { temporaryFolder } from "../support/archives.ts";
import { runProgram } from "../support/program.ts";

const QUICK = [
  "--gauge",
  "sim://?leak=0.5&seed=7",
  "--pace",
  "2000",
  "--method",
  "en1610-lc",
  "--dn",
  "150",
  "--laid-length",
  "45",
  "--plain",
];

it("a test, its seal, its verdict judged again", async () => {
  const archive = ["--archive", join(temporaryFolder(), "site.staunch")];
  expect((await runProgram([...archive, "test", ...QUICK])).code).toBe(0);
  const { code, out, err } = await runProgram([...archive, "verify", "--deep"]);
  expect({ code, err }).toEqual({ code: 0, err: "" });
  expect(out).toMatch(
    / {2}intact {2}PASS .+, laid, [-0-9]{10}, SIMULATED {2}number 1, code [-0-9A-Z]{19} {2}judged again: the same verdict\nKey [0-9a-f ]{39} sealed 1 record\.\n1 intact\.\n$/,
  );
});

it("a key that cannot be made: the test is kept, unsealed, and that is said", async () => {
  const archive = ["--archive", join(temporaryFolder(), "site.staunch")];
  const env = { STAUNCH_KEY: "/dev/null/key.pem" };
  const tested = await runProgram([...archive, "test", ...QUICK], env);
  expect(tested.code).toBe(0);
  expect(tested.out).toContain("PASS");
  expect(tested.err).toMatch(/staunch: unsealed: This machine's key \/dev\/null\/key\.pem cannot be used: .*STAUNCH_KEY/);
  const { code, out } = await runProgram([...archive, "verify"]);
  expect(out).toContain("it ended without a seal");
  expect(code).toBe(2);
});
