import { expect, it } from "vitest";
import { noisyReadings } from "../support/records.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

it("a sealed journal takes two bytes a reading or fewer in the file: an hour at 10 Hz, noise of at most one count, whole pages counted", async () => {
  const b = sealedBench();
  const count = 36_000;
  await sealedRecord(b, "hour", noisyReadings(count));
  const bytes = b.archive.db
    .prepare(
      "select sum(pgsize) from dbstat where name like 'blocks' or name like 'sqlite_autoindex_blocks%' or name like 'seals%' or name like 'sqlite_autoindex_seals%'",
    )
    .pluck()
    .get();
  expect(Number(bytes) / count).toBeLessThanOrEqual(2);
  expect(Number(bytes) / count).toBeGreaterThan(0.2);
  b.archive.close();
});
