import { expect, it } from "vitest";
import { clockLines, sealedClock } from "../../src/commands/clockPage.ts";
import { records } from "../../src/commands/records.ts";
import { recordHeadOf } from "../../src/storage/recordHead.ts";
import { headOf } from "../../src/storage/sealHead.ts";
import { testIo } from "../support/io.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

const HEAD = {
  ...{ schema: "staunch/sealed/1", kind: "record", chain: "c", number: 1, attempt: null, key: "k", subject: "s" },
  ...{ sealed_wall_ms: 0, blocks: [] },
};
const headWith = (over: object) => headOf(new TextEncoder().encode(JSON.stringify({ ...HEAD, ...over })));

it.each([
  [{ zone: { name: "Asia/Kolkata", offset_min: 330 } }, ["clock: tested in zone Asia/Kolkata, UTC+05:30"]],
  [
    { zone: { name: "America/St_Johns", offset_min: -210 }, clock: { worst_loop_delay_ms: 48.6 } },
    ["clock: tested in zone America/St_Johns, UTC−03:30; the program was held up for 49 ms at most"],
  ],
  [
    { clock: { jumps: [{ seq: 4, by_ms: -3_600_000 }], jump_count: 1 } },
    [expect.stringContaining("clock: the time of day was set while it was recorded: 1:00:00 back")],
  ],
  [{ zone: { name: "\u001b[2J", offset_min: 0 } }, [expect.not.stringContaining("\u001b")]],
  [{ zone: "here", clock: { worst_loop_delay_ms: "long" } }, []],
])("%j", (over, lines) => expect(clockLines(headWith(over))).toEqual(lines));

it("says nothing of a record without a seal, and the zone of one that has it", async () => {
  const bench = sealedBench();
  await sealedRecord(bench, "r1");
  await sealedRecord({ archive: bench.archive, sealing: null }, "r2");
  expect(clockLines(recordHeadOf(bench.archive, "r2"))).toEqual([]);
  expect(clockLines(recordHeadOf(bench.archive, "r1"))[0]).toMatch(/^clock: tested in zone \S+, UTC[+−]\d\d:\d\d/);
  bench.archive.close();
});

it.each([
  [
    {
      zone: { name: "Asia/Kolkata", offset_min: 330 },
      clock: { worst_loop_delay_ms: 48.6, jumps: [{ seq: 4, by_ms: -2000 }], jump_count: 1 },
    },
    { zone: { name: "Asia/Kolkata", offset_min: 330 }, worst_loop_delay_ms: 48.6, steps: { count: 1, by_s: [-2] } },
  ],
  [{ clock: { worst_loop_delay_ms: 3 } }, { worst_loop_delay_ms: 3 }],
  [{ zone: { name: 1, offset_min: 330 }, clock: { worst_loop_delay_ms: "long" } }, null],
])("as facts: %j", (over, clock) => expect(sealedClock(headWith(over))).toEqual(clock));

it("the facts stand in the JSON of a record that has them", async () => {
  const bench = sealedBench();
  await sealedRecord({ archive: bench.archive, sealing: { ...bench.sealing, worstDelay_ms: () => 48 } }, "r1");
  await sealedRecord({ archive: bench.archive, sealing: null }, "r2");
  bench.archive.close();
  const shown = async (id: string): Promise<unknown> => {
    const io = testIo();
    await records.run({ ask: "show", id, json: true }, { io, archive: bench.archive.path, program: "" });
    return JSON.parse(io.outText.join(""));
  };
  expect(await shown("r1")).toMatchObject({
    clock: { zone: { name: expect.any(String), offset_min: expect.any(Number) }, worst_loop_delay_ms: 48 },
  });
  expect(await shown("r2")).not.toHaveProperty("clock");
});
