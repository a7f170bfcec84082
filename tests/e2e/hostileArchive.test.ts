/** A sealed archive with hostile text in every field it keeps, as a stranger could hand one over: no command that shows it lets it through. */
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { foldJournal } from "../../src/commands/foldJournal.ts";
import type { VerifyReport } from "../../src/commands/verifyArchive.ts";
import type { GaugeFacts, RecordStart } from "../../src/core/record.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { countersign } from "../../src/storage/countersign.ts";
import { addKitCheck, addZeros } from "../../src/storage/gaugeLogs.ts";
import { addGauge, findGauge } from "../../src/storage/gauges.ts";
import { openKey } from "../../src/storage/key.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { appendReview } from "../../src/storage/reviews.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "../support/archives.ts";
import { HOSTILE, harmIn, harmInJson } from "../support/hostileText.ts";
import { type Machine, machineIn, staunch } from "../support/inProcess.ts";
import { bytesIn, sampleStart } from "../support/records.ts";

/** More than this of a text nobody reads, and a megabyte in forty fields is no record of ours (handovers refuse it: storage/hostile). */
const MOST = 20_000;
const PLAIN = "20260301-081500-a1b2";
const wall0_ms = sampleStart().started_wall_ms;

const gaugeOf = (evil: string): GaugeFacts => ({
  ...sampleStart().gauge,
  ...{ url: evil, driverOptions: {}, name: evil, serial: evil, certificate: evil, calibrated: evil, due: evil, identity: evil },
  ...{ usbOnFile: evil, usb: `${evil}2`, outOfDateReason: evil },
});

function startOf(id: string, evil: string): RecordStart {
  const { limits } = sampleStart();
  return sampleStart({
    ...{ id, stage: evil, tester: evil, program: evil, overrides: evil, gauge: gaugeOf(evil) },
    section: { id: evil, dn_mm: 150, material: evil, laid_length_m: 45 },
    asTested: { plugs: evil, caps: [evil, evil], weather: evil, witness: evil },
    also: [{ role: "atmosphere", gauge: { ...gaugeOf(evil), protocol: "line" } }],
    limits: {
      ...{ ...limits, method: { id: evil, title: evil, source: evil }, material: evil },
      ...{ provenance: evil, working: [evil], cautions: [evil], earlyAcceptance: evil },
    },
  });
}

/** What the gauge, the line and a hand say: its name for itself, an error text, lines, how the line came up and went. */
function journalOf(evil: string) {
  const readings = Array.from({ length: 40 }, (_, i) => bytesIn(i + 5, 300 + i * 100, `${1000 + (i % 3)}.0\n`));
  const at = (seq: number, at_ms: number) => ({ seq, at_ms, wall_ms: wall0_ms + at_ms });
  return [
    { ...at(0, 0), kind: "link-up" as const, detail: evil },
    { ...at(1, 10), kind: "bytes-sent" as const, bytes: new TextEncoder().encode("*IDN?\n") },
    bytesIn(2, 60, `${evil.replaceAll(/[\r\n]/g, "")}\n`),
    bytesIn(3, 110, `-113,"${evil}"\n`),
    { ...at(4, 120), kind: "key" as const, action: evil },
    ...readings,
    bytesIn(45, 5000, evil),
    { ...at(46, 5100), kind: "link-down" as const, reason: evil },
    { ...at(47, 5200), kind: "end" as const, cause: "failed" as const, detail: evil },
  ];
}

async function record(archive: Archive, key: string, id: string, evil: string): Promise<void> {
  const start = startOf(id, evil);
  const journal = journalOf(evil);
  const refused: string[] = [];
  const writer = createRecord(archive, start, new QueueClock(wall0_ms), {
    key: openKey(key),
    onUnsealed: (reason) => refused.push(reason),
  });
  for (const event of journal) writer.append(event);
  await writer.end({ ended_wall_ms: wall0_ms + 5200, verdict: foldJournal(start, journal) });
  expect(refused).toEqual([]);
}

/** Two records, one of them with a hostile id, reviews, a second signature, and a gauge with all that is kept of one. */
async function planted(evil: string): Promise<Machine> {
  const site = machineIn(temporaryFolder());
  const archive = openArchive(site.archive, { mode: "write" });
  await record(archive, site.key, PLAIN, evil);
  await record(archive, site.key, evil.slice(0, 200), evil);
  for (const word of ["accept", "return", "note"] as const)
    appendReview(archive, openKey(site.key), PLAIN, { word, by: evil, reason: evil, wall_ms: wall0_ms });
  countersign(archive, openKey(site.key), { record: PLAIN, by: evil, wall_ms: wall0_ms });
  const sheet = { low_Pa: 0, high_Pa: 20_000, resolution_Pa: 1, accuracy_fraction: null, accuracy_full_scale: null, accuracy_Pa: 2 };
  const texts = {
    url: evil,
    reference: "vented" as const,
    calibrated: evil,
    due: evil,
    certificate: evil,
    serial: evil,
    identity: evil,
    usb: evil,
  };
  addGauge(archive, evil, { ...sheet, ...texts }, wall0_ms);
  addGauge(archive, "blue", { ...sheet, ...texts }, wall0_ms);
  for (const name of [evil, "blue"]) {
    const number = findGauge(archive, name)?.number ?? -1;
    addZeros(archive, number, [{ wall_ms: wall0_ms, zero_Pa: 1, moment: "before", record: evil }]);
    const check = {
      wall_ms: wall0_ms,
      day: evil,
      pressure_Pa: 1000,
      duration_s: 300,
      drop_Pa: 1,
      u_drop_Pa: 1,
      allowed_Pa: 10,
      passed: true,
    };
    addKitCheck(archive, number, { ...check, source: "gauge", note: evil });
  }
  archive.close();
  return site;
}

const SHOWN: readonly (readonly string[])[] = [
  ["records", "list"],
  ["records", "show", PLAIN],
  ["records", "show", "last"],
  ["review", "list"],
  ...["gauge", "tester", "method", "week"].map((by) => ["review", "summary", "--by", by]),
  ["verify"],
  ["verify", "--deep"],
  ["verify", "--day"],
  ["gauges", "list"],
  ["gauges", "show", "blue"],
];

/** Runs it as words and as JSON. */
async function shown(site: Machine, words: readonly string[]): Promise<void> {
  const told = await staunch(site, words);
  expect({ words, out: harmIn(told.out), err: harmIn(told.err), exit: told.exit }).toEqual({ words, out: [], err: [], exit: 0 });
  expect(told.out.length).toBeLessThan(60_000);
  if (words[0] === "gauges") return;
  const data = await staunch(site, [...words, "--json"]);
  expect({ words, out: harmInJson(data.out), err: harmIn(data.err), exit: data.exit }).toEqual({ words, out: [], err: [], exit: 0 });
}

describe.each(HOSTILE)("%s in every field", (_what, text) => {
  // A half letter cannot be written in UTF-8; a database makes this of it.
  const evil = text.slice(0, MOST).replaceAll(/\p{Cs}/gu, "\ufffd");
  const isLong = evil.length > 300;

  it("is shown harmless by every command, and the seals stand", async () => {
    const site = await planted(evil);
    for (const words of SHOWN) await shown(site, words);
    const { entries, findings } = JSON.parse((await staunch(site, ["verify", "--deep", "--json"])).out) as VerifyReport;
    expect(entries.map(({ standing, again }) => [standing, again?.again])).toEqual([
      ["intact", "same"],
      ["intact", "same"],
      ...Array.from({ length: 4 }, () => ["intact", undefined]),
    ]);
    expect(findings).toEqual([]);
  });

  it("is played again and judged harmless", async () => {
    const site = await planted(evil);
    for (const how of [["--plain"], ["--json"], ["--events"], ["--rule", "guarded", "--plain"], ["--rule", "guarded", "--json"]]) {
      const { out, err, exit } = await staunch(site, ["replay", PLAIN, ...how]);
      const harm = how.includes("--json")
        ? harmInJson(out)
        : out.split("\n").flatMap((line) => (how[0] === "--events" ? harmInJson(line) : harmIn(line)));
      expect({ how, harm, err: harmIn(err), exit }).toEqual({ how, harm: [], err: [], exit: 2 });
    }
  });

  it(`is handed over and merged${isLong ? ": refused as a whole, being longer than any name" : ", and stands there as it stood here"}`, async () => {
    const site = await planted(evil);
    const given = join(site.folder, "given.staunch");
    const office = { ...site, archive: join(site.folder, "office.staunch") };
    const run = async (at: Machine, words: readonly string[], wanted: number): Promise<string> => {
      const { out, err, exit } = await staunch(at, words);
      expect({ words, out: harmIn(out), err: harmIn(err), exit }).toEqual({ words, out: [], err: [], exit: wanted });
      return err;
    };
    await run(site, ["handover", "all", "-o", given], 0);
    const said = await run(office, ["merge", given], isLong ? 65 : 0);
    expect(said).toMatch(isLong ? /\(handover-refused\)/ : /^$/);
    await run(office, ["merge", given], isLong ? 65 : 0);
    await run(office, ["verify", "--deep"], 0);
    await run(office, ["records", "list"], 0);
    const { entries } = JSON.parse((await staunch(office, ["verify", "--json"])).out) as VerifyReport;
    expect(entries.map(({ standing }) => standing)).toEqual(Array.from({ length: isLong ? 0 : 6 }, () => "intact"));
  });
});
