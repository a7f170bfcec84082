import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import { EMPTY_SHEET, type GaugeSheet } from "../../src/core/gauges/sheet.ts";
import { addKitCheck, addZeros, type KitCheck, kitChecksOf, kitChecksOfDay, zerosOf } from "../../src/storage/gaugeLogs.ts";
import { addGauge, addSheet, findGauge, listGauges, sheetsOf } from "../../src/storage/gauges.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { temporaryFolder } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";

const sheet = (over: Partial<GaugeSheet> = {}): GaugeSheet => ({ url: "sim://?seed=1", ...EMPTY_SHEET, ...over });

let archive: Archive;
beforeEach(() => {
  archive = openArchive(join(temporaryFolder(), "site.staunch"), { mode: "write" });
  return () => archive.close();
});

const numberOf = (name: string): number => findGauge(archive, name)?.number ?? -1;

describe("gauges on file", () => {
  it("come back as they went in, by any spelling of their name", () => {
    const whole = sheet({
      low_Pa: -0.5,
      high_Pa: 20_000,
      resolution_Pa: 1,
      accuracy_fraction: 0.001,
      reference: "vented",
      calibrated: "2026-03-01",
      due: "2027-03-01",
      certificate: "C-123",
      serial: "4711",
      identity: "A,B\u001b[31m,C",
      usb: "0403:6001 X",
    });
    addGauge(archive, "Blau Straße", whole, 5);
    expect(findGauge(archive, " blau  STRAßE ")).toEqual({ number: 1, name: "Blau Straße", added_wall_ms: 5, sheet: whole });
    expect(findGauge(archive, "other")).toBeNull();
  });

  it("are not put in twice", () => {
    addGauge(archive, "Blue", sheet(), 0);
    expect(errorOf(() => addGauge(archive, "BLUE", sheet(), 1))).toMatchObject({ code: "gauge-known", exit: 64 });
    expect(listGauges(archive)).toHaveLength(1);
  });

  it("keep every sheet; the newest is in force", () => {
    addGauge(archive, "Blue", sheet({ due: "2026-03-01" }), 1);
    addGauge(archive, "Amber", sheet(), 2);
    addSheet(archive, numberOf("Blue"), sheet({ due: "2027-03-01" }), 3);
    expect(listGauges(archive).map(({ name, sheet: { due } }) => [name, due])).toEqual([
      ["Amber", null],
      ["Blue", "2027-03-01"],
    ]);
    expect(sheetsOf(archive, numberOf("Blue")).map(({ wall_ms, sheet: { due } }) => [wall_ms, due])).toEqual([
      [1, "2026-03-01"],
      [3, "2027-03-01"],
    ]);
  });
});

describe("what happened to a gauge", () => {
  const check: KitCheck = {
    wall_ms: 10,
    day: "2026-03-01",
    pressure_Pa: 11_000,
    duration_s: 300,
    drop_Pa: 2.5,
    u_drop_Pa: 0.4,
    allowed_Pa: 10,
    passed: true,
    source: "simulated",
    note: null,
  };

  it("zeros and kit checks come back newest first, those of a day oldest first", () => {
    addGauge(archive, "Blue", sheet(), 0);
    const gauge = numberOf("Blue");
    addZeros(archive, gauge, [
      { wall_ms: 1, zero_Pa: 0.5, moment: "before", record: "r1" },
      { wall_ms: 2, zero_Pa: -1, moment: "after", record: "r1" },
    ]);
    expect(zerosOf(archive, gauge, 9).map(({ zero_Pa, moment, record }) => [zero_Pa, moment, record])).toEqual([
      [-1, "after", "r1"],
      [0.5, "before", "r1"],
    ]);
    addKitCheck(archive, gauge, check);
    addKitCheck(archive, gauge, { ...check, day: "2026-03-02", passed: false, note: "worn hose" });
    addKitCheck(archive, gauge, { ...check, wall_ms: 11 });
    expect(kitChecksOf(archive, gauge, 2).map(({ wall_ms, passed }) => [wall_ms, passed])).toEqual([
      [11, true],
      [10, false],
    ]);
    expect(kitChecksOfDay(archive, "blue", "2026-03-01")).toEqual([check, { ...check, wall_ms: 11 }]);
    expect(kitChecksOfDay(archive, "nobody", "2026-03-01")).toEqual([]);
  });

  it("belongs to a gauge that is there", () => {
    expect(() => addKitCheck(archive, 77, check)).toThrow(/FOREIGN KEY/);
    expect(() => addZeros(archive, 77, [{ wall_ms: 1, zero_Pa: 0, moment: "before", record: null }])).toThrow(/FOREIGN KEY/);
  });
});
