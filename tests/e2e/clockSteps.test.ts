/** The clock of the machine is set back an hour or forward a day: in the hold, between tests, before a seal, before a review. */
import { beforeEach, describe, expect, it } from "vitest";
import type { VerifyReport } from "../../src/commands/verifyArchive.ts";
import type { Verdict } from "../../src/core/record.ts";
import { openArchive } from "../../src/storage/open.ts";
import { temporaryFolder } from "../support/archives.ts";
import { NOON_ms } from "../support/gaugeCommand.ts";
import { type Machine, machineIn, type RunParts, staunch } from "../support/inProcess.ts";

const HOUR_ms = 3_600_000;
const STEPS = [
  ["an hour back", -HOUR_ms, "1:00:00 back"],
  ["a day forward", 24 * HOUR_ms, "1 d 0:00:00 forward"],
] as const;
/** With seed 7 and this leak the hold lies around 560 … 740 s of pipe time. */
const MID_HOLD_s = 620;

let site: Machine;
beforeEach(() => {
  site = machineIn(temporaryFolder());
});

const run = (words: readonly string[], parts: RunParts = {}) => staunch(site, words, parts);

const simulated = (faults = "") => [
  ...["test", "--gauge", `sim://?leak=0.9&seed=7${faults}`, "--pace", "5000", "--method", "en1610-lc"],
  ...["--dn", "150", "--material", "pvc", "--laid-length", "45", "--section", "S1 (invented)", "--json"],
];

/** A simulated test to its end; its verdict without what differs in every test. */
async function tested(faults = "", parts: RunParts = {}, at = site): Promise<Verdict> {
  const { out, exit, err } = await staunch(at, simulated(faults), parts);
  const verdict = JSON.parse(out) as Verdict;
  expect([exit, err.includes("(defect)")]).toEqual([{ pass: 0, fail: 1, void: 2, inconclusive: 2 }[verdict.verdict], false]);
  return verdict;
}

async function verified(): Promise<{ report: VerifyReport; text: string }> {
  const { exit, out } = await run(["verify", "--deep", "--json"]);
  expect(exit).toBe(0);
  const report = JSON.parse(out) as VerifyReport;
  expect(report.entries.map(({ standing }) => standing)).toEqual(report.entries.map(() => "intact"));
  expect(report.entries.flatMap(({ again }) => (again === undefined ? [] : [again.again]))).toEqual(
    report.entries.flatMap(({ kind }) => (kind === "record" ? ["same"] : [])),
  );
  return { report, text: (await run(["verify"])).out };
}

const codes = ({ reasons }: Verdict): string[] => reasons.map(({ code }) => code);

/** Ids in the order the archive numbered them. */
function numbered(): string[] {
  const archive = openArchive(site.archive, { mode: "read" });
  const ids = archive.db.prepare<[], string>("select id from records order by number").pluck().all();
  archive.close();
  return ids;
}

/** No command that shows what was tested falls over it, and each says every record once. */
async function shownEverywhere(ids: readonly string[]): Promise<void> {
  for (const words of [
    ["records", "list"],
    ["records", "list", "--json"],
    ["review", "list"],
    ["review", "list", "--json"],
    ["review", "list", "--sort", "oldest"],
  ]) {
    const { exit, out, err } = await run(words);
    expect({ words, exit, err, often: ids.map((id) => out.split(id).length - 1) }).toEqual({
      words,
      exit: 0,
      err: "",
      often: ids.map(() => 1),
    });
  }
  for (const words of [["review", "summary", "--by", "week"], ["verify", "--day"], ...ids.map((id) => ["records", "show", id])])
    expect({ words, exit: (await run(words)).exit }).toEqual({ words, exit: 0 });
}

describe("in the middle of a hold with readings flowing", () => {
  it.each(STEPS)("%s: the same verdict, sealed with the size of the step, which verify tells", async (_name, step_ms, told) => {
    const plain = await tested("", {}, { ...site, archive: `${site.folder}/plain.staunch` });
    const stepped = await tested(`&wallclock=${MID_HOLD_s}:${step_ms / 1000}`);
    expect({ ...stepped, record: null }).toEqual({ ...plain, record: null });
    expect(stepped).toMatchObject({ verdict: "pass", reasons: [] });
    const { report, text } = await verified();
    expect(report.entries.map(({ clock }) => clock)).toEqual([{ count: 1, by_s: [step_ms / 1000] }]);
    expect(text).toContain(`\n  the time of day was set while it was recorded: ${told}; readings are timed by another clock\n`);
    const replayed = await run(["replay", stepped.record ?? "", "--json"]);
    expect([replayed.exit, replayed.err]).toEqual([0, expect.stringContaining("the verdict is the recorded one, to the last digit")]);
    expect(JSON.parse(replayed.out)).toEqual(stepped);
    await shownEverywhere(numbered());
  });

  it.each(STEPS)("%s within a silence, where the machine may have slept: void, the step told", async (_name, step_ms) => {
    const verdict = await tested(`&silence=${MID_HOLD_s}:8&wallclock=${MID_HOLD_s + 4}:${step_ms / 1000}`);
    expect([verdict.verdict, codes(verdict)]).toEqual(["void", ["clock-stepped"]]);
    expect(verdict.reasons[0]?.figures).toMatchObject({ step_s: step_ms / 1000 });
    expect((await verified()).report.entries[0]?.clock).toEqual({ count: 1, by_s: [step_ms / 1000] });
  });

  it("the same silence without a step is a pass", async () => {
    expect(await tested(`&silence=${MID_HOLD_s}:8`)).toMatchObject({ verdict: "pass", reasons: [] });
  });
});

/** 100 mm at 7:00, 80 mm five minutes later, read by eye off a U-tube: 20 mm of 25 are lost. */
const TYPED = [
  ...[[40, "110"] as const, [282, "108"], [342, "108"], [349, "bled"], [352, "100"], [420, "50 50"], [481, "48 48"], [542, "92"]],
  ...[[600, "88"] as const, [661, "84"], [721, "40 40"], [750, "0"]],
] as const;
const KEYED = ["test", "--gauge", "keyed://", "--method", "uk-100mm", "--dn", "150", "--laid-length", "30", "--json"];

/** The machine's own clock stamps what is typed; it is set at `at_s` of the test. */
function typing(at_s: number, step_ms: number): RunParts {
  const left: [number, string][] = TYPED.map(([second, line]) => [second, line]);
  let isSet = false;
  return {
    step_ms: 1000,
    tick: (io) => {
      const now_s = io.clock.now_ms() / 1000;
      if (!isSet && now_s >= at_s) {
        io.clock.stepWall(step_ms);
        isSet = true;
      }
      while (left[0] !== undefined && left[0][0] <= now_s) io.type(left.shift()?.[1] ?? "");
    },
  };
}

describe("with the machine's own clock, a U-tube read by eye", () => {
  it.each(STEPS)("%s in the hold: passed as without it, no entry out of order but the jump told", async (_name, step_ms, told) => {
    const plain = JSON.parse((await run(KEYED, typing(9e9, 0))).out) as Verdict;
    const { out, exit } = await run(KEYED, typing(500, step_ms));
    const verdict = JSON.parse(out) as Verdict;
    expect(exit).toBe(0);
    expect({ ...verdict, record: null }).toEqual({ ...plain, record: null });
    expect((await verified()).text).toContain(told);
    await shownEverywhere(numbered());
  });
});

describe("between two tests", () => {
  it.each(STEPS)("%s: both stand, in the order of their numbers, and last is the one tested last", async (_name, step_ms) => {
    const first = (await tested()).record ?? "";
    const second = (await tested("", { wall_ms: NOON_ms + 60_000 + step_ms })).record ?? "";
    expect(numbered()).toEqual([first, second]);
    const { report, text } = await verified();
    expect(report.entries.map(({ record, number }) => [record, number])).toEqual([
      [first, 1],
      [second, 2],
    ]);
    const back = report.findings.map((finding) => (finding.kind === "clock-set-back" ? [finding.number, finding.before] : finding));
    expect(back).toEqual(step_ms < 0 ? [[2, 1]] : []);
    if (step_ms < 0) expect(text).toMatch(/! Number 2 of this archive's chain was sealed 0:5\d:\d\d before number 1 by the time of day/);
    expect(JSON.parse((await run(["records", "show", "last", "--json"])).out)).toMatchObject({ start: { id: second } });
    const day = JSON.parse((await run(["verify", "--day", "--json"])).out) as { number: number; code: string };
    expect([day.number, day.code]).toEqual([2, report.entries[1]?.code]);
    await shownEverywhere([first, second]);
  });

  it("set back and put right again: last is the newest all the same, and a handover merged elsewhere keeps the order of the chain", async () => {
    const offsets = [0, -HOUR_ms, 120_000, 24 * HOUR_ms, 180_000];
    for (const offset of offsets) await tested("", { wall_ms: NOON_ms + offset });
    const ids = numbered();
    expect(new Set(ids).size).toBe(offsets.length);
    expect(JSON.parse((await run(["records", "show", "last", "--json"])).out)).toMatchObject({ start: { id: ids.at(-1) } });
    const findings = (await verified()).report.findings.map((finding) => (finding.kind === "clock-set-back" ? finding.number : finding));
    expect(findings).toEqual([2, 5]);
    const file = `${site.folder}/given.staunch`;
    expect((await run(["handover", "all", "-o", file])).exit).toBe(0);
    const office = { ...site, archive: `${site.folder}/office.staunch` };
    expect((await staunch(office, ["merge", file])).exit).toBe(0);
    const merged = JSON.parse((await staunch(office, ["verify", "--json"])).out) as VerifyReport;
    expect(merged.entries.map(({ record, number, standing }) => [record, number, standing])).toEqual(
      ids.map((id, i) => [id, i + 1, "intact"]),
    );
    // Taken in from elsewhere there is only the time of day to go by.
    expect(JSON.parse((await staunch(office, ["records", "show", "last", "--json"])).out)).toMatchObject({ start: { id: ids[3] } });
  });
});

describe("between the end of a test and its seal, and between seal and review", () => {
  it.each(STEPS)("%s: sealed and reviewed all the same", async (_name, step_ms) => {
    await tested();
    let isSet = false;
    const second = await tested("", {
      wall_ms: NOON_ms + 300_000,
      tick: (io) => {
        if (!isSet) io.clock.stepWall(step_ms);
        isSet = true;
      },
    });
    const review = ["review", "accept", second.record ?? "", "--by", "M. Reed (invented)", "--reason", "seen"];
    expect((await run(review, { wall_ms: NOON_ms + 600_000 + 2 * step_ms })).exit).toBe(0);
    const { report } = await verified();
    expect(report.entries.map(({ kind, number }) => [kind, number])).toEqual([
      ["record", 1],
      ["record", 2],
      ["review", 3],
    ]);
    const back = report.findings.map((finding) => (finding.kind === "clock-set-back" ? finding.number : finding));
    expect(back).toEqual(step_ms < 0 ? [2, 3] : []);
    expect((await run(["records", "show", "last"])).out).toContain("accepted by M. Reed (invented): seen");
    await shownEverywhere(numbered());
  });
});
