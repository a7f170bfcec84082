import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import { foldJournal } from "../../src/commands/foldJournal.ts";
import { records } from "../../src/commands/records.ts";
import type { Verdict } from "../../src/core/record.ts";
import { zerosOf } from "../../src/storage/gaugeLogs.ts";
import { findGauge } from "../../src/storage/gauges.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { findRecord } from "../../src/storage/records.ts";
import { temporaryFolder } from "../support/archives.ts";
import { rejectionOf } from "../support/errors.ts";
import { gaugesAt, testAt } from "../support/gaugeCommand.ts";
import { testIo } from "../support/io.ts";

let path = "";
beforeEach(() => {
  path = join(temporaryFolder(), "site.staunch");
});

const SIM = "sim://?protocol=scpi&seed=7&leak=0.4";
const WHOLE = ["--range", "0..200 mbar", "--resolution", "1 Pa", "--accuracy", "0.05 % fs", "--vented", "--serial", "4711"];
const IN_DATE = ["--calibrated", "2026-03-01", "--due", "2027-03-01", "--certificate", "C-123"];
const OUT_OF_DATE = ["--calibrated", "2025-03-01", "--due", "2026-03-01"];
const TEST = [
  "--gauge",
  "blue",
  "--method",
  "en1610-lc",
  "--dn",
  "150",
  "--material",
  "pvc",
  "--laid-length",
  "40",
  "--pace",
  "5000",
  "--json",
];

const add = (...words: string[]) => gaugesAt(path, ["add", "blue", SIM, ...words]);
const refusal = (...words: string[]) => rejectionOf(testAt(path, [...TEST, ...words]));

async function tested(...words: string[]) {
  const ran = await testAt(path, [...TEST, ...words]);
  const verdict = JSON.parse(ran.out) as Verdict;
  return { ...ran, verdict, remarks: verdict.remarks.map(({ code }) => code) };
}

describe("test --gauge NAME", () => {
  it("keeps the facts of the file in the record and shows them with the day's kit check", async () => {
    await add(...WHOLE, ...IN_DATE);
    await gaugesAt(path, ["kit-check", "blue", "--pace", "5000"]);
    const { exit, remarks, verdict, err } = await tested("--strict");
    expect(exit).toBe(0);
    for (const code of ["other-gauge", "gauge-unfit", "calibration-out-of-date"]) expect(remarks).not.toContain(code);
    expect(err).toContain("warm up for 10 min");
    const archive = openArchive(path, { mode: "read" });
    const { start } = findRecord(archive, verdict.record ?? "");
    archive.close();
    expect(start.gauge).toMatchObject({
      url: SIM,
      name: "blue",
      serial: "4711",
      certificate: "C-123",
      calibrated: "2026-03-01",
      due: "2027-03-01",
      range_Pa: [0, 20_000],
      resolution_Pa: 1,
      accuracy_fraction: null,
      accuracy_Pa: 10,
    });
    const io = testIo();
    const show = records.parse(["show", "last"], io);
    if (show !== null) await records.run(show, { io, archive: path, program: "staunch test" });
    expect(io.outText.join("\n")).toMatch(/blue, serial no. 4711, certificate C-123, calibrated 2026-03-01/);
    expect(io.outText.join("\n")).toMatch(/kit check of the day: 2026-11-25 .* PASS/);
  });

  it("learns the name the gauge gives itself, and remarks another one", async () => {
    await add(...WHOLE, ...IN_DATE);
    await tested();
    const archive = openArchive(path, { mode: "read" });
    const gauge = findGauge(archive, "blue");
    expect(gauge?.sheet.identity).toBe("STAUNCH,SIMULATED PIPE,7,1");
    expect(zerosOf(archive, gauge?.number ?? 0, 9).map(({ moment }) => moment)).toContain("before");
    archive.close();
    expect((await tested()).remarks).not.toContain("other-gauge");
    await gaugesAt(path, ["calibrate", "blue", "--url", SIM.replace("seed=7", "seed=8")]);
    expect((await tested()).remarks).toContain("other-gauge");
    await gaugesAt(path, ["calibrate", "blue", "--forget-identity"]);
    expect((await tested()).remarks).not.toContain("other-gauge");
  });

  it("refuses a gauge out of date, unless there is a reason, which stays on the record", async () => {
    await add(...WHOLE, ...OUT_OF_DATE);
    expect(await refusal()).toMatchObject({ code: "gauge-out-of-date", exit: 64 });
    expect(await refusal("--gauge-reason", " ")).toMatchObject({ code: "gauge-reason", exit: 64 });
    const { verdict, remarks } = await tested("--gauge-reason", "the laboratory is late", "--strict");
    expect(remarks).toContain("calibration-out-of-date");
    const archive = openArchive(path, { mode: "read" });
    expect(findRecord(archive, verdict.record ?? "").start.gauge.outOfDateReason).toBe("the laboratory is late");
    archive.close();
  });

  it("takes a gauge not shown to be fit with a remark, and not at all when strict", async () => {
    await add("--range", "0..100 mbar");
    expect(await refusal("--strict")).toMatchObject({ code: "gauge-unfit", exit: 1 });
    expect((await tested()).remarks).toContain("gauge-unfit");
  });

  it("lets the command line speak over the file, and knows only names on file", async () => {
    await add(...WHOLE, ...IN_DATE);
    const { verdict } = await tested("--accuracy", "0.2 %");
    const archive = openArchive(path, { mode: "read" });
    expect(findRecord(archive, verdict.record ?? "").start.gauge).toMatchObject({ accuracy_fraction: 0.002, accuracy_Pa: null });
    archive.close();
    const words = TEST.map((word) => (word === "blue" ? "blu\u001b[31m" : word));
    expect(await rejectionOf(testAt(path, words))).toMatchObject({ code: "gauge-unknown", exit: 64 });
    expect((await rejectionOf(testAt(join(temporaryFolder(), "none.staunch"), TEST))).code).toBe("gauge-unknown");
  });

  it("says the same when the journal is judged again, whatever the file says by then", async () => {
    await add(...WHOLE, ...OUT_OF_DATE);
    const { verdict, remarks } = await tested("--gauge-reason", "late");
    expect(remarks).toContain("calibration-out-of-date");
    await gaugesAt(path, ["calibrate", "blue", ...IN_DATE]);
    const archive = openArchive(path, { mode: "read" });
    const { start, number } = findRecord(archive, verdict.record ?? "");
    expect(foldJournal(start, readJournal(archive, number))).toEqual(verdict);
    archive.close();
  });
});
