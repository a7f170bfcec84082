import { join } from "node:path";
import Database from "better-sqlite3";
import { expect, it } from "vitest";
import { besideRecord } from "../../src/commands/reviewBeside.ts";
import { countersign } from "../../src/storage/countersign.ts";
import { openKey } from "../../src/storage/key.ts";
import { openArchive } from "../../src/storage/open.ts";
import { signaturesOf } from "../../src/storage/signatures.ts";
import { wallTime } from "../../src/terminal/wall.ts";
import { temporaryFolder } from "../support/archives.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

const SIGNED_ms = 1_772_000_000_000;

async function signedTwice() {
  const bench = sealedBench();
  await sealedRecord(bench, "r1");
  const witness = openKey(join(temporaryFolder(), "witness.pem"));
  countersign(bench.archive, witness, { record: "r1", by: "W. Witness (invented)", wall_ms: SIGNED_ms });
  countersign(bench.archive, bench.key, { record: "r1", by: "T. Ester\u001b[2J (invented)", wall_ms: SIGNED_ms + 60_000 });
  return { archive: bench.archive, witness, own: bench.key };
}

it("who signed, with which key and when, in the order it was sealed; shown on the record's page", async () => {
  const { archive, witness, own } = await signedTwice();
  expect(signaturesOf(archive, "r1")).toEqual([
    { by: "W. Witness (invented)", key: witness.fingerprint, wall_ms: SIGNED_ms, intact: true },
    { by: "T. Ester\u001b[2J (invented)", key: own.fingerprint, wall_ms: SIGNED_ms + 60_000, intact: true },
  ]);
  const { lines, json } = besideRecord(archive, "r1");
  expect(lines).toContain(`second signature ${wallTime(SIGNED_ms)}: W. Witness (invented), key ${witness.fingerprint}`);
  expect(lines.join("\n")).not.toContain("\u001b");
  expect(json.second_signatures).toHaveLength(2);
  archive.close();
});

it("one that is not what was signed is shown as such", async () => {
  const { archive } = await signedTwice();
  archive.close();
  const db = new Database(archive.path);
  db.exec("update seals set head = cast(replace(cast(head as text), 'W. Witness', 'V. Witness') as blob) where number = 2");
  db.close();
  const again = openArchive(archive.path, { mode: "read" });
  expect(signaturesOf(again, "r1").map(({ intact }) => intact)).toEqual([false, true]);
  expect(besideRecord(again, "r1").lines.join("\n")).toMatch(/ALTERED, does not count: V\. Witness/);
  again.close();
});
