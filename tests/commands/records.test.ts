import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type RecordsOptions, records } from "../../src/commands/records.ts";
import { lockArchive } from "../../src/storage/lock.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { temporaryFolder } from "../support/archives.ts";
import { rejectionOf } from "../support/errors.ts";
import { type TestIo, testIo } from "../support/io.ts";
import { sampleEnd, sampleStart } from "../support/records.ts";

const zone = process.env["TZ"];
beforeAll(() => {
  process.env["TZ"] = "UTC";
});
afterAll(() => {
  if (zone === undefined) delete process.env["TZ"];
  else process.env["TZ"] = zone;
});

const hour = (day: number, hours = 8): number => Date.UTC(2026, 2, day, hours);

/** A pass, a simulated fail, and one that broke off. */
function filled(): string {
  const path = join(temporaryFolder(), "site.staunch");
  const archive = openArchive(path, { mode: "write" });
  const pass = sampleStart({ id: "20260301-080000-aaaa", started_wall_ms: hour(1) });
  const fail = sampleStart({ id: "20260302-080000-bbbb", started_wall_ms: hour(2), source: "simulated", stage: "covered" });
  const open = sampleStart({ id: "20260303-080000-cccc", started_wall_ms: hour(3), section: { ...pass.section, id: "S9" } });
  insertEnd(archive.db, insertStart(archive.db, pass), sampleEnd(pass));
  const reasons = [{ code: "drop-over-limit" as const, text: "The drop is over the limit.", figures: { drop_Pa: 300 } }];
  insertEnd(archive.db, insertStart(archive.db, fail), sampleEnd(fail, { verdict: "fail", reasons }));
  insertStart(archive.db, open);
  archive.close();
  return path;
}

async function run(words: string[], path = filled()): Promise<TestIo> {
  const io = testIo();
  io.clock.stepWall(hour(3, 9) - io.clock.wall_ms());
  const options = records.parse(words, io);
  if (options !== null) expect(await records.run(options, { io, archive: path, program: "staunch test" })).toBe(0);
  return io;
}

const shownIds = (io: TestIo): string[] => (io.outText.join("\n").match(/[abc]{4}(?=\s)/g) ?? []).map((tail) => tail.slice(0, 1));

describe("records list", () => {
  it("is one line a record, newest first, with the source where no gauge stood behind it", async () => {
    const io = await run(["list"]);
    expect(io.outText.join("\n")).toBe(
      [
        "20260303-080000-cccc  2026-03-03 08:00  interrupted  S9                laid     sample-100mm",
        "20260302-080000-bbbb  2026-03-02 08:00  FAIL         Elderbrook S3-S4  covered  sample-100mm  SIMULATED UNSEALED",
        "20260301-080000-aaaa  2026-03-01 08:00  PASS         Elderbrook S3-S4  laid     sample-100mm  UNSEALED",
      ].join("\n"),
    );
  });

  const filters: [string[], string[]][] = [
    [["--verdict", "fail"], ["b"]],
    [["--verdict", "OPEN"], ["c"]],
    [["--section", "S9"], ["c"]],
    [
      ["--stage", "laid"],
      ["c", "a"],
    ],
    [
      ["--method", "sample-100mm"],
      ["c", "b", "a"],
    ],
    [
      ["--since", "2026-03-02"],
      ["c", "b"],
    ],
    [["--since", "2026-03-02T08:01"], ["c"]],
    [
      ["--since", "2026-03-02T10:00+02:00"],
      ["c", "b"],
    ],
    [
      ["--since", "25h"],
      ["c", "b"],
    ],
    [["--since", "1d"], ["c"]],
  ];
  for (const [words, ids] of filters)
    it(`takes ${words.join(" ")}`, async () => {
      expect(shownIds(await run(["list", ...words]))).toEqual(ids);
    });

  it("says on stderr that none fits, and leaves stdout empty", async () => {
    const io = await run(["list", "--stage", "in-service"]);
    expect([io.outText, io.errText.length]).toEqual([[], 1]);
    expect(io.errText[0]).toMatch(/^No record fits in /);
  });

  it("is one JSON object with --json", async () => {
    const io = await run(["list", "--json", "--since", "2026-03-02"]);
    expect(io.outText.length).toBe(1);
    expect(JSON.parse(io.outText[0] ?? "")).toEqual({
      schema: "staunch/records/1",
      records: [
        {
          id: "20260303-080000-cccc",
          section: "S9",
          stage: "laid",
          method: "sample-100mm",
          source: "gauge",
          verdict: null,
          state: "interrupted",
          sealed: null,
          started: "2026-03-03T08:00:00.000Z",
          ended: null,
        },
        expect.objectContaining({ id: "20260302-080000-bbbb", verdict: "fail", state: "ended", sealed: false, source: "simulated" }),
      ],
    });
  });

  it("tells the running test from a broken-off one by the lock", async () => {
    const path = filled();
    const lock = lockArchive(path, { pid: 1, host: "h", since_wall_ms: 0, record: "20260303-080000-cccc" });
    const io = await run(["list", "--verdict", "open"], path);
    lock.release();
    expect(io.outText[0]).toContain("  running  ");
  });

  it("lets no control characters out of an archive", async () => {
    const path = join(temporaryFolder(), "hostile.staunch");
    const archive = openArchive(path, { mode: "write" });
    const evil = "\u001b[2J\u009b31m\u202ex\u0007";
    const start = sampleStart({
      id: `id${evil}`,
      stage: evil,
      tester: evil,
      program: evil,
      section: { ...sampleStart().section, id: evil },
    });
    const gauge = { ...start.gauge, url: evil };
    const limits = { ...start.limits, method: { id: evil, title: evil, source: evil } };
    const all = { ...start, gauge, limits };
    insertEnd(archive.db, insertStart(archive.db, all), sampleEnd(all, { reasons: [{ code: "interrupted", text: evil, figures: {} }] }));
    archive.close();
    for (const words of [["list"], ["list", "--json"], ["show", "last"], ["show", "last", "--json"]]) {
      const shown = (await run(words, path)).outText.join("\n");
      expect(shown.replaceAll("\n", "")).not.toMatch(/[\p{Cc}\p{Cf}]/u);
    }
  });
});

describe("records show", () => {
  it("is a page for people", async () => {
    const text = (await run(["show", "bbbb"])).outText.join("\n");
    for (const line of [
      "record   20260302-080000-bbbb",
      "section  Elderbrook S3-S4, DN 300, clay, 45 m",
      "stage    covered",
      "tester   R. Tarn",
      "started  2026-03-02 08:00",
      "ended    2026-03-02 08:10",
      "source   SIMULATED: proves no section",
    ])
      expect(text.split("\n")).toContain(line);
    expect(text).toMatch(/^FAIL: /m);
    expect(text).toContain("The drop is over the limit.");
    // 1078.7315 Pa, 980.665 Pa and 245.16625 Pa are 110, 100 and 25 mm of conventional water (9.80665 Pa each).
    expect(text).toMatch(/^limits {3}charge 110\.0? mmH2O, settle 5:00, test 100\.0? mmH2O, hold 5:00, drop at most 25\.0? mmH2O$/m);
  });

  it("says that a record broke off", async () => {
    expect((await run(["show", "last"])).outText.join("\n")).toMatch(/^INTERRUPTED: /m);
  });

  it("gives start and verdict whole with --json", async () => {
    const start = sampleStart({ id: "20260301-080000-aaaa", started_wall_ms: hour(1) });
    const io = await run(["show", "20260301", "--json"]);
    expect(JSON.parse(io.outText.join(""))).toEqual({
      schema: "staunch/record/1",
      state: "ended",
      start,
      ended_wall_ms: sampleEnd(start).ended_wall_ms,
      verdict: sampleEnd(start).verdict,
    });
  });
});

describe("wrong words and files", () => {
  const wrong: [string[], string, number][] = [
    [["show", "nobody"], "record-unknown", 64],
    [["show", "2026"], "record-ambiguous", 64],
    [["list", "--verdict", "maybe"], "verdict-unknown", 64],
    [["list", "--since", "yesterday"], "since-unreadable", 64],
    [["list", "--since", "2026-13-40"], "since-unreadable", 64],
  ];
  for (const [words, code, exit] of wrong)
    it(`${words.join(" ")} → ${code}`, async () => {
      expect(await rejectionOf(run(words))).toMatchObject({ code, exit });
    });

  it("an archive that is not there → 65, and is not made", async () => {
    const path = join(temporaryFolder(), "none.staunch");
    expect(await rejectionOf(run(["list"], path))).toMatchObject({ code: "archive-missing", exit: 65 });
    expect(await rejectionOf(run(["list"], path))).toMatchObject({ code: "archive-missing" });
  });

  it("nothing to do → 64, help → shown with an example", async () => {
    const io = testIo();
    expect(await rejectionOf(Promise.resolve().then(() => records.parse([], io)))).toMatchObject({ exit: 64 });
    const asked: RecordsOptions | null = records.parse(["--help"], io);
    expect(asked).toBeNull();
    expect(io.outText.join("\n")).toContain("staunch records show last");
  });
});
