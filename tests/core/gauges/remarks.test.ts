import { describe, expect, it } from "vitest";
import { withGaugeOnFile } from "../../../src/core/gauges/remarks.ts";
import type { GaugeFacts, Verdict } from "../../../src/core/record.ts";
import { sampleStart, sampleVerdict } from "../../support/records.ts";

const onFile: Partial<GaugeFacts> = {
  name: "Blue box",
  range_Pa: [0, 20_000],
  calibrated: "2026-01-01",
  due: "2027-01-01",
  identity: "ACME,P1,4711,1.0",
};

function remarked(over: Partial<GaugeFacts>, seen: string | null = null, verdict: Partial<Verdict> = {}): string[] {
  const start = sampleStart();
  const gauge = { ...start.gauge, ...over };
  const held = withGaugeOnFile(sampleVerdict(start, verdict), { ...start, gauge }, seen);
  for (const { text } of held.remarks) expect(text).toMatch(/^[A-Z]\P{Cc}*\.$/u);
  return held.remarks.map(({ code }) => code);
}

describe("remarks about a gauge on file", () => {
  it("are none for a gauge that is as the file has it, or that is not on file", () => {
    expect(remarked(onFile, "ACME,P1,4711,1.0\r\n")).toEqual([]);
    expect(remarked(onFile, null)).toEqual([]);
    expect(remarked({ identity: "x" }, "y")).toEqual([]);
  });

  it("tell another gauge by its name for itself or its adapter", () => {
    expect(remarked(onFile, "ACME,P1,\u001b[31m9999,1.0")).toEqual(["other-gauge"]);
    expect(remarked({ ...onFile, usbOnFile: "0403:6001 A", usb: "0403:6001 B" })).toEqual(["other-gauge"]);
    expect(remarked({ ...onFile, usbOnFile: "0403:6001 A" })).toEqual([]);
  });

  it("tell another Bluetooth gauge that bears the same name, by its address", () => {
    const byName = { ...onFile, url: "ble://Gauge%207?profile=ess", protocol: "ess", identity: "C0:00:00:00:00:02" };
    expect(remarked(byName, "c0:00:00:00:00:02")).toEqual([]);
    expect(remarked(byName, "c0:00:00:00:00:03")).toEqual(["other-gauge"]);
  });

  it("tell a range that does not reach and a calibration nobody put on file", () => {
    const { calibrated: _calibrated, due: _due, ...uncalibrated } = onFile;
    expect(remarked({ ...onFile, range_Pa: [0, 1500] })).toEqual(["gauge-unfit"]);
    expect(remarked(uncalibrated)).toEqual(["gauge-unfit"]);
  });

  it("do not say twice that the gauge is too coarse", () => {
    const remarks: Verdict["remarks"] = [{ code: "gauge-too-coarse", text: "The gauge is too coarse.", figures: {} }];
    expect(remarked({ ...onFile, resolution_Pa: 100 })).toEqual(["gauge-unfit"]);
    expect(remarked({ ...onFile, resolution_Pa: 100 }, null, { remarks })).toEqual(["gauge-too-coarse"]);
  });

  it("carry the reason for using it past its date", () => {
    expect(remarked({ ...onFile, outOfDateReason: "the laboratory is\u0007 late" })).toEqual(["calibration-out-of-date"]);
  });
});
