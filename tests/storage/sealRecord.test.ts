import { chmodSync, rmSync } from "node:fs";
import { dirname } from "node:path";
import { describe, expect, it } from "vitest";
import { EMPTY_SHEET } from "../../src/core/gauges/sheet.ts";
import { fingerprintOf, NO_SEAL } from "../../src/evidence/seal.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { addKitCheck, type KitCheck } from "../../src/storage/gaugeLogs.ts";
import { addGauge, findGauge } from "../../src/storage/gauges.ts";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { recordHeadOf } from "../../src/storage/recordHead.ts";
import { findRecord, listRecords } from "../../src/storage/records.ts";
import { sealedKitChecks } from "../../src/storage/sealedChecks.ts";
import { sealedEntries } from "../../src/storage/sealedEntries.ts";
import { standings } from "../../src/storage/standings.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { withoutPrivilege } from "../support/archives.ts";
import { bytesIn, everyKind, noisyReadings, sampleEnd, sampleStart, sampleVerdict } from "../support/records.ts";
import { type SealedBench, sealedBench, sealedRecord } from "../support/sealed.ts";

const rows = ({ archive }: SealedBench, table: string): unknown => archive.db.prepare(`select count(*) from ${table}`).pluck().get();
const headOf = (b: SealedBench, at = 0): Record<string, unknown> =>
  JSON.parse(Buffer.from([...sealedEntries(b.archive)][at]?.sealed.head ?? []).toString("utf8"));

describe("a record that ends", () => {
  it("is packed and sealed in the transaction of its end; every caller reads the same journal as before", async () => {
    const b = sealedBench();
    await sealedRecord(b, "one");
    expect([rows(b, "journal"), rows(b, "attempts"), rows(b, "seals"), rows(b, "blocks")]).toEqual([0, 0, 1, 1]);
    expect(readJournal(b.archive, 1)).toEqual(everyKind());
    const start = sampleStart({ id: "one" });
    expect(findRecord(b.archive, "one")).toMatchObject({ start, end: sampleEnd(start) });
    b.archive.close();
    const reading = openArchive(b.archive.path, { mode: "read" });
    expect(readJournal(reading, 1)).toEqual(everyKind());
    reading.close();
  });

  it("says in its head all that was known, and when by which clocks", async () => {
    const b = sealedBench();
    await sealedRecord({ ...b, sealing: { ...b.sealing, worstDelay_ms: () => 41 } }, "one");
    const start = sampleStart({ id: "one" });
    expect(headOf(b)).toMatchObject({
      schema: "staunch/sealed/1",
      kind: "record",
      chain: b.archive.id,
      number: 1,
      attempt: 1,
      key: fingerprintOf(b.key.publicDer),
      subject: "one",
      start,
      end: sampleEnd(start),
      zone: { name: Intl.DateTimeFormat().resolvedOptions().timeZone, offset_min: 0 - new Date(start.started_wall_ms).getTimezoneOffset() },
      clock: { start: { at_ms: 0 }, end: { at_ms: 2800 }, jump_count: 2, worst_loop_delay_ms: 41 },
      blocks: [{ events: 10 }],
    });
    b.archive.close();
  });

  it("stands on the one before it, and counts attempts of real gauges only", async () => {
    const b = sealedBench();
    await sealedRecord(b, "one");
    await sealedRecord(b, "two", everyKind(), { source: "simulated" });
    await sealedRecord(b, "three");
    const [one, two, three] = [...sealedEntries(b.archive)].map(({ sealed }) => sealed);
    expect(one?.previous).toEqual(Buffer.from(NO_SEAL));
    expect([two?.previous, three?.previous]).toEqual([one?.seal, two?.seal]);
    expect([one, two, three].map((e) => [e?.number, e?.attempt])).toEqual([
      [1, 1],
      [2, null],
      [3, 2],
    ]);
    expect(b.key.attempts()).toBe(2);
    b.archive.close();
  });

  it("is packed in several blocks when it is long", async () => {
    const b = sealedBench();
    const events = noisyReadings(140_000);
    await sealedRecord(b, "long", events);
    expect(rows(b, "blocks")).toBe(4);
    const kept = readJournal(b.archive, 1);
    expect(kept.length).toBe(events.length);
    expect([kept.at(70_000), kept.at(-1)]).toEqual([events.at(70_000), events.at(-1)]);
    b.archive.close();
  });

  it("names the kit checks of its gauge on that day", async () => {
    const b = sealedBench();
    addGauge(b.archive, "Blue box", { url: "keyed://", ...EMPTY_SHEET }, 0);
    const at_ms = new Date(2026, 2, 1, 7, 30).getTime();
    const figures = { pressure_Pa: 1000, duration_s: 60, drop_Pa: 2, u_drop_Pa: 1, allowed_Pa: 10 };
    const check: KitCheck = { wall_ms: at_ms, day: "2026-03-01", ...figures, passed: true, source: "gauge", note: null };
    addKitCheck(b.archive, findGauge(b.archive, "blue box")?.number ?? 0, check);
    const { gauge } = sampleStart();
    await sealedRecord(b, "one", everyKind(), { started_wall_ms: at_ms + 1000, gauge: { ...gauge, name: "Blue box" } });
    expect(headOf(b)["kit_checks"]).toEqual([check]);
    const checks = () => {
      const head = recordHeadOf(b.archive, "one");
      return head === null ? null : sealedKitChecks(head);
    };
    // What is told of the day is what was sealed, whatever the gauge's file says later.
    b.archive.db.exec("update kit_checks set passed = 0, drop_Pa = 99");
    expect(checks()).toEqual([check]);
    expect([...standings(b.archive, new Set([b.key.fingerprint]))].map(({ standing }) => standing.standing)).toEqual(["intact"]);
    b.archive.db.exec("delete from kit_checks");
    expect(checks()).toEqual([check]);
    b.archive.close();
  });
});

describe("a record that was broken off", () => {
  it("is sealed when it is closed, with the number its attempt had got", async () => {
    const b = sealedBench();
    const writer = createRecord(b.archive, sampleStart({ id: "cut" }), new QueueClock(), b.sealing);
    writer.append(bytesIn(0, 0));
    closeInterrupted(b.archive, 9000, (start) => sampleVerdict(start, { verdict: "void" }), b.sealing);
    expect(headOf(b)).toMatchObject({ subject: "cut", attempt: 1, sealed_wall_ms: 9000, end: { verdict: { verdict: "void" } } });
    expect(readJournal(b.archive, 1).map(({ kind }) => kind)).toEqual(["bytes-in", "end"]);
    b.archive.close();
  });

  it("by another machine's key has no attempt of that key", () => {
    const [b, other] = [sealedBench(), sealedBench()];
    createRecord(b.archive, sampleStart({ id: "cut" }), new QueueClock(), b.sealing);
    closeInterrupted(b.archive, 9000, (start) => sampleVerdict(start, { verdict: "void" }), other.sealing);
    expect(headOf(b)).toMatchObject({ attempt: null, key: other.key.fingerprint });
    b.archive.close();
    other.archive.close();
  });
});

describe("a seal that cannot be made", () => {
  it("for a full disk leaves nothing of the end behind, and all of it once there is room", async () => {
    const b = sealedBench();
    const clock = new QueueClock();
    const start = sampleStart({ id: "full" });
    const writer = createRecord(b.archive, start, clock, b.sealing);
    const events = noisyReadings(20_000);
    for (const event of events) writer.append(event);
    clock.runUntil(500);
    b.archive.db.pragma(`max_page_count = ${Number(b.archive.db.pragma("page_count", { simple: true }))}`);
    const ending = writer.end(sampleEnd(start)).catch((error: unknown) => error);
    clock.runUntil(10_000);
    expect(await ending).toMatchObject({ code: "archive-full", exit: 74 });
    expect([rows(b, "ends"), rows(b, "seals"), rows(b, "blocks"), rows(b, "journal")]).toEqual([0, 0, 0, 20_000]);
    b.archive.db.pragma("max_page_count = 4294967294");
    await writer.end(sampleEnd(start));
    expect([rows(b, "ends"), rows(b, "seals"), rows(b, "journal")]).toEqual([1, 1, 0]);
    expect([readJournal(b.archive, 1), b.notes]).toEqual([events, []]);
    b.archive.close();
  });

  it.each(["insert on seals", "insert on blocks", "insert on keys", "delete on journal"])(
    "for a failing %s undoes every step",
    async (step) => {
      const b = sealedBench();
      const clock = new QueueClock();
      const start = sampleStart({ id: "step" });
      const writer = createRecord(b.archive, start, clock, b.sealing);
      for (const event of everyKind()) writer.append(event);
      clock.runUntil(500);
      b.archive.db.exec(`create temp trigger broken before ${step.replace(" on ", " on main.")} begin select raise(abort, 'step'); end`);
      const ending = writer.end(sampleEnd(start)).catch((error: unknown) => error);
      clock.runUntil(10_000);
      expect(await ending).toBeInstanceOf(Error);
      expect(["ends", "seals", "blocks", "keys", "journal", "attempts"].map((t) => rows(b, t))).toEqual([0, 0, 0, 0, 10, 1]);
      b.archive.db.exec("drop trigger broken");
      closeInterrupted(b.archive, 0, (s) => sampleVerdict(s), b.sealing);
      expect([rows(b, "seals"), readJournal(b.archive, 1)]).toEqual([1, everyKind()]);
      b.archive.close();
    },
  );

  it("for a journal that is not whole keeps the record unsealed and says so", async () => {
    const b = sealedBench();
    await sealedRecord(b, "gap", [bytesIn(0, 0), bytesIn(2, 20)]);
    expect(listRecords(b.archive)[0]?.verdict).toBe("pass");
    expect([rows(b, "seals"), rows(b, "journal")]).toEqual([0, 2]);
    expect(b.notes).toEqual([expect.stringContaining("gap is kept, but could not be sealed")]);
    b.archive.close();
  });

  it("for a counter that cannot be written keeps the record unsealed and says so", async () => {
    const b = sealedBench();
    rmSync(`${b.key.path}.lock`);
    chmodSync(dirname(b.key.path), 0o500);
    const start = sampleStart({ id: "locked" });
    const writer = withoutPrivilege(() => createRecord(b.archive, start, new QueueClock(), b.sealing));
    await writer.end(sampleEnd(start));
    expect([listRecords(b.archive)[0]?.verdict, rows(b, "seals")]).toEqual(["pass", 0]);
    expect(b.notes).toEqual([expect.stringContaining("cannot be used")]);
    chmodSync(dirname(b.key.path), 0o700);
    b.archive.close();
  });
});
