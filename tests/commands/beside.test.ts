import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { foldJournal } from "../../src/commands/foldJournal.ts";
import { records } from "../../src/commands/records.ts";
import { test } from "../../src/commands/test.ts";
import { driverOfStart } from "../../src/commands/testBeside.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { temporaryFolder } from "../support/archives.ts";
import { rejectionOf } from "../support/errors.ts";
import { testIo } from "../support/io.ts";
import { sampleEnd, sampleStart } from "../support/records.ts";

const PIPE = "serial:///dev/ttyUSB0?protocol=line";
const PROGRAM = "staunch test";

describe("test --atmosphere, --pipe-temperature", () => {
  it.each([
    [[PIPE, "--atmosphere", "sim://"], "beside-unfit"],
    [[PIPE, "--pipe-temperature", "keyed://"], "beside-unfit"],
    [[PIPE, "--atmosphere", "serial:///dev/ttyUSB0?protocol=scpi"], "beside-unfit"],
    [["keyed://", "--atmosphere", "serial:///dev/ttyUSB1?protocol=line"], "beside-unfit"],
    [[PIPE, "--atmosphere", "serial:///dev/ttyUSB1?protocol=morse"], "protocol-unknown"],
    [[PIPE, "--atmosphere", "telegraph://"], "gauge-url"],
    [[PIPE, "--atmosphere", "nobody"], "gauge-unknown"],
  ])("%j is refused: %s", async (words, code) => {
    const io = testIo();
    const options = test.parse(["--method", "uk-100mm", "--gauge", ...words], io);
    if (options === null) throw new Error("only help came");
    expect((await rejectionOf(test.run(options, { io, archive: join(temporaryFolder(), "none"), program: PROGRAM }))).code).toBe(code);
  });
});

describe("a record of several gauges", () => {
  const plain = sampleStart();
  const gauge = { ...plain.gauge, url: "serial:///dev/ttyUSB1?protocol=line", protocol: "line", driverOptions: { unit: "hPa" } };
  const start = { ...plain, also: [{ role: "atmosphere" as const, gauge }] };

  it("names them on its page", async () => {
    const archive = join(temporaryFolder(), "site.staunch");
    const open = openArchive(archive, { mode: "write" });
    insertEnd(open.db, insertStart(open.db, start), sampleEnd(start));
    open.close();
    const io = testIo();
    await records.run({ ask: "show", id: "last", json: false }, { io, archive, program: PROGRAM });
    expect(io.outText.join("\n")).toMatch(/atmosphere\s+serial:\/\/\/dev\/ttyUSB1/);
  });

  it("is folded with all of them when it was broken off", () => {
    expect(driverOfStart(start).joined).toBe(true);
    expect(driverOfStart(plain).joined).toBeUndefined();
    const stamp = { at_ms: 0, wall_ms: plain.started_wall_ms };
    const journal: JournalEvent[] = [
      { kind: "link-up", detail: "", seq: 0, ...stamp },
      { kind: "bytes-in", bytes: new TextEncoder().encode("1013.2\n"), line: 1, seq: 1, ...stamp },
    ];
    // Nothing of the second line is a reading of the pipe.
    expect(foldJournal(start, journal).readings).toBe(0);
  });
});
