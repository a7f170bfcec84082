import { join } from "node:path";
import { expect, it } from "vitest";
import { QueueClock } from "../../src/links/queueClock.ts";
import { handOver } from "../../src/storage/handover.ts";
import { lastRecord } from "../../src/storage/lastRecord.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "../support/archives.ts";
import { take } from "../support/merging.ts";
import { sampleStart } from "../support/records.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

const day = (n: number): number => Date.UTC(2026, 2, n);

it("is none in an empty archive, and the one tested last though the clock was set back before it", async () => {
  const b = sealedBench();
  expect(lastRecord(b.archive)).toBeUndefined();
  await sealedRecord(b, "one", [], { started_wall_ms: day(9) });
  await sealedRecord(b, "two", [], { started_wall_ms: day(8) });
  expect(lastRecord(b.archive)).toBe("two");
  createRecord(b.archive, sampleStart({ id: "running", started_wall_ms: day(7) }), new QueueClock());
  expect(lastRecord(b.archive)).toBe("running");
  b.archive.close();
});

it("of records from elsewhere is the one with the latest time of day; taking them in changes nothing of what was tested here", async () => {
  const [here, crew] = [sealedBench(), sealedBench()];
  await sealedRecord(here, "here", [], { started_wall_ms: day(5) });
  await sealedRecord(crew, "old", [], { started_wall_ms: day(4) });
  await sealedRecord(crew, "older", [], { started_wall_ms: day(3) });
  const given = join(temporaryFolder(), "given.staunch");
  handOver(crew.archive, ["old", "older"], given, false);
  take(here.archive, given);
  expect(lastRecord(here.archive)).toBe("here");
  await sealedRecord(crew, "new", [], { started_wall_ms: day(6) });
  await sealedRecord(crew, "set back", [], { started_wall_ms: day(5) + 1 });
  handOver(crew.archive, ["new", "set back"], given, true);
  take(here.archive, given);
  expect(lastRecord(here.archive)).toBe("new");
  for (const { archive } of [here, crew]) archive.close();
});
