import { expect, it } from "vitest";
import type { Archive } from "../../src/storage/open.ts";
import { noisyReadings } from "../support/records.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

/** All pages of sealed entries, heads, indexes and room left in them counted. */
const bytesOf = ({ db }: Archive): number =>
  Number(
    db
      .prepare(
        "select sum(pgsize) from dbstat where name like 'blocks' or name like 'sqlite_autoindex_blocks%' or name like 'seals%' or name like 'sqlite_autoindex_seals%'",
      )
      .pluck()
      .get(),
  );

// 10 Hz, noise of at most one count. The first record of an archive also pays for the pages an empty table has, so the growth is what counts.
it.each([
  ["20 min", 12_000],
  ["an hour", 36_000],
])("a sealed record of %s takes two bytes a reading or fewer in the file", async (_, count) => {
  const b = sealedBench();
  await sealedRecord(b, "first", noisyReadings(count));
  const before = bytesOf(b.archive);
  const more = 5;
  for (let i = 0; i < more; i++) await sealedRecord(b, `record-${i}`, noisyReadings(count));
  const bytes = (bytesOf(b.archive) - before) / more / count;
  expect(bytes).toBeLessThanOrEqual(2);
  expect(bytes).toBeGreaterThan(0.2);
  b.archive.close();
});
