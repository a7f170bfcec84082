import { describe, expect, it } from "vitest";
import { simulatedSettings } from "../../../drivers/simulated/settings.ts";
import { StaunchError } from "../../../src/core/errors.ts";
import { LOW } from "./figures.ts";

function refusal(options: Record<string, string>, about = LOW): StaunchError {
  try {
    simulatedSettings(options, about);
  } catch (error) {
    if (error instanceof StaunchError) return error;
    throw error;
  }
  throw new Error(`${JSON.stringify(options)} was taken`);
}

describe("simulatedSettings", () => {
  it("has a tight, calm pipe with an obedient crew when nothing is said", () => {
    expect(simulatedSettings({}, LOW)).toEqual({
      leak: 0,
      flow: "laminar",
      cooling_K_h: 0,
      barometer_hPa_h: 0,
      wind_m_s: 0,
      noise_Pa: 0.3,
      resolution_Pa: 1,
      rate_Hz: 5,
      crew: "obedient",
      hose: "open",
      protocol: "line",
      sensors: { air: false, ambient: false },
      seed: 1,
      faults: [],
      about: LOW,
    });
  });

  it("reads faults in order of time", () => {
    const { faults } = simulatedSettings({ slip: "300:40", silence: "10:20.5", wallclock: "200:-60" }, LOW);
    expect(faults).toEqual([
      { kind: "silence", at_s: 10, size: 20.5 },
      { kind: "wallclock", at_s: 200, size: -60 },
      { kind: "slip", at_s: 300, size: 40 },
    ]);
  });

  it.each<[string, string, string]>([
    ["leak", "-1", "0 to 1000"],
    ["leak", "a lot", "0 to 1000"],
    ["leak", "", "0 to 1000"],
    ["leak", "1e3", "0 to 1000"],
    ["flow", "turbulent", "laminar, orifice"],
    ["rate", "0", "0.1 to 100"],
    ["resolution", "0", "0.001"],
    ["crew", "drunk", "obedient, hasty, absent"],
    ["hose", "kinked", "open, blocked"],
    ["protocol", "morse", "line, scpi"],
    ["sensors", "air,humidity", "air,ambient"],
    ["seed", "1.5", "whole number"],
    ["silence", "100", "at:seconds"],
    ["silence", "100:5:5", "at:seconds"],
    ["topup", "-1:50", "at:Pa"],
    ["spikes", "60:2.5", "at:count"],
    ["unit", "60:7", "mbar"],
  ])("refuses %s=%s with exit 64, naming the option and what it may be", (name, text, allowed) => {
    const error = refusal({ [name]: text });
    expect(error.exit).toBe(64);
    expect(error.message).toContain(name);
    expect(error.hint).toContain(name);
    expect(error.hint).toContain(allowed);
  });

  it("refuses an option it does not know, listing those it does", () => {
    const error = refusal({ leek: "1" });
    expect(error.exit).toBe(64);
    expect(error.message).toContain('"leek"');
    expect(error.hint).toContain("leak");
    expect(refusal({ constructor: "1" }).code).toBe("simulated-option");
  });

  it("refuses sensors where the protocol has no place for them", () => {
    expect(refusal({ protocol: "scpi", sensors: "air" }).hint).toContain("protocol=line");
  });

  it("refuses a scpi gauge too slow for a driver to wait for", () => {
    expect(refusal({ protocol: "scpi", rate: "0.5" }).hint).toContain("1 to 100");
    expect(simulatedSettings({ rate: "0.5" }, LOW).rate_Hz).toBe(0.5);
  });

  it("refuses a test no pipe can be made for", () => {
    expect(refusal({}, { ...LOW, permittedDrop_Pa: 1000 }).code).toBe("simulated-figures");
    expect(refusal({}, { ...LOW, length_m: 0 }).code).toBe("simulated-figures");
    expect(refusal({}, { ...LOW, charge_Pa: -1100 }).code).toBe("simulated-figures");
    expect(refusal({}, { ...LOW, hold_s: Number.NaN }).code).toBe("simulated-figures");
  });
});
