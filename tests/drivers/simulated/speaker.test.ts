import { validNmeaChecksum } from "nmea-simple/dist/helpers.js";
import { describe, expect, it } from "vitest";
import { findDriver } from "../../../drivers/index.ts";
import { step } from "../../../drivers/simulated/pipe.ts";
import { simulatedSettings } from "../../../drivers/simulated/settings.ts";
import { listen, notSpokenTo, speak, speakerFor } from "../../../drivers/simulated/speaker.ts";
import type { PipeState } from "../../../drivers/simulated/state.ts";
import type { Reading } from "../../../src/core/driver.ts";
import { LOW, pipeOf, runTo, VACUUM } from "./figures.ts";

const text = (bytes: Uint8Array | null): string | null => (bytes === null ? null : new TextDecoder().decode(bytes));
const bytesOf = (ask: string): Uint8Array => new TextEncoder().encode(ask);
const spoken = (state: PipeState): string | null => text(speak(notSpokenTo, state).said);

/** What the driver named by `speakerFor` makes of a line. */
function readBack(state: PipeState): Reading[] {
  const { protocol, driverOptions } = speakerFor(state.plan.settings);
  const driver = findDriver(protocol).create(driverOptions);
  const bytes = speak(notSpokenTo, state).said ?? new Uint8Array();
  return driver.next(driver.start(), { kind: "bytes", at_ms: 1000, bytes }).readings;
}

describe("line speaker", () => {
  it("says figure and unit with the digits of its resolution", () => {
    expect(spoken(step(pipeOf({ resolution: "1" }, LOW, 1000), []))).toBe("1000 Pa\r\n");
    expect(spoken(step(pipeOf({ resolution: "0.1" }, LOW, 1000), []))).toBe("1000.0 Pa\r\n");
    expect(spoken(step(pipeOf({ resolution: "0.5" }, VACUUM, -33_900), []))).toBe("-33900.0 Pa\r\n");
  });

  it("is read back by the driver, with air and barometer where they are measured", () => {
    for (const sensors of ["none", "air", "ambient", "air,ambient"]) {
      const [reading] = readBack(step(pipeOf({ sensors }, LOW, 1000), []));
      expect(reading?.pressure_Pa).toBeCloseTo(1000, 6);
      expect(reading?.unit).toBe("Pa");
      expect(reading?.air_C ?? null).toBe(sensors.includes("air") ? 15 : null);
      expect(reading?.ambient_Pa ?? null).toBe(sensors.includes("ambient") ? 101_325 : null);
    }
  });

  it.each([
    ["0", "10.00 mbar\r\n", "mbar"],
    ["1", "1.000 kPa\r\n", "kPa"],
    ["2", "102.0 mmH2O\r\n", "mmH2O"],
  ])("unit fault %s: speaks another unit from its time on, figures converted", (which, said, unit) => {
    const states = runTo(pipeOf({ unit: `60:${which}`, resolution: "1" }, LOW, 1000), 60);
    expect(spoken(states.at(-2) ?? pipeOf())).toBe("1000 Pa\r\n");
    const last = states.at(-1) ?? pipeOf();
    expect(spoken(last)).toBe(said);
    const [reading] = readBack(last);
    expect(reading?.unit).toBe(unit);
    // 102.0 mm of water stand for 1000 Pa to the last digit shown.
    expect(Math.abs((reading?.pressure_Pa ?? 0) - 1000)).toBeLessThan(0.5);
  });

  it("says nothing while silent", () => {
    const states = runTo(pipeOf({ silence: "10:5" }), 20);
    const quiet = states.filter((state) => spoken(state) === null);
    expect(quiet.at(0)?.time_s).toBeCloseTo(10, 9);
    expect(quiet.at(-1)?.time_s).toBeCloseTo(14.8, 9);
  });

  it("takes no notice of what it is sent", () => {
    expect(listen(notSpokenTo, pipeOf(), bytesOf("*IDN?\n")).said).toBeNull();
  });
});

describe("xdr speaker", () => {
  it("says pascal, air and open air, with a checksum an independent library finds right", () => {
    const said = spoken(step(pipeOf({ protocol: "xdr", resolution: "1", sensors: "air,ambient" }, LOW, 1000), [])) ?? "";
    expect(said.startsWith("$YXXDR,P,1000,P,PIPE,C,15.00,C,AIR,P,101325.0,P,OUTSIDE*")).toBe(true);
    expect(validNmeaChecksum(said.trim())).toBe(true);
  });

  it("is read back by the driver, under vacuum and in bar as well", () => {
    const vacuum = step(pipeOf({ protocol: "xdr", resolution: "0.5", sensors: "air,ambient" }, VACUUM, -33_900), []);
    expect(readBack(vacuum)[0]).toMatchObject({ pressure_Pa: -33_900, unit: "Pa", air_C: 15, ambient_Pa: 101_325 });
    const inBar = runTo(pipeOf({ protocol: "xdr", unit: "60:1" }, LOW, 1000), 60).at(-1) ?? pipeOf();
    expect(readBack(inBar)[0]).toMatchObject({ unit: "bar" });
    expect(readBack(inBar)[0]?.pressure_Pa).toBeCloseTo(1000, 6);
  });
});

describe("scpi speaker", () => {
  const scpi = (options: Record<string, string> = {}): PipeState => pipeOf({ protocol: "scpi", ...options }, LOW, 1000);

  it("names itself at once and answers a reading at the next sample, in NR3", () => {
    const start = scpi();
    const named = listen(notSpokenTo, start, bytesOf("*IDN?\n"));
    expect(text(named.said)).toBe("STAUNCH,SIMULATED PIPE,1,1\n");
    const next = step(start, []);
    expect(speak(named.spokenTo, next).said).toBeNull();
    for (const query of ["READ?\n", "MEAS:PRES?\r\n", "measure:pressure?\n"]) {
      const heard = listen(notSpokenTo, start, bytesOf(query));
      expect(heard.said).toBeNull();
      const answer = speak(heard.spokenTo, next);
      expect(text(answer.said)).toBe("+1.00000000E+03\n");
      expect(speak(answer.spokenTo, next).said).toBeNull();
    }
  });

  it("puts a query together from pieces and ignores what it does not know", () => {
    const state = scpi();
    const first = listen(notSpokenTo, state, bytesOf("REA"));
    const second = listen(first.spokenTo, state, bytesOf("D?\nSYST:ERR?\n"));
    expect(second.spokenTo).toEqual({ held: "", waiting: 1 });
    const endless = listen(notSpokenTo, state, new Uint8Array(5000).fill(65));
    expect(endless.spokenTo.held.length).toBeLessThanOrEqual(200);
  });

  it("has no value before its first sample: 9.91E37", () => {
    expect(text(speak({ held: "", waiting: 1 }, scpi()).said)).toBe("9.91E37\n");
  });

  it("answers nothing while silent, and the query is lost", () => {
    const silent = runTo(scpi({ silence: "1:5" }), 2).at(-1) ?? scpi();
    expect(listen(notSpokenTo, silent, bytesOf("*IDN?\n")).said).toBeNull();
    expect(speak({ held: "", waiting: 1 }, silent)).toEqual({ spokenTo: { held: "", waiting: 0 }, said: null });
  });
});

describe("speakerFor", () => {
  it("gives options the drivers take", () => {
    for (const protocol of ["line", "scpi", "xdr"])
      for (const rate of ["1", "5", "100"]) {
        const chosen = speakerFor(simulatedSettings({ protocol, rate }, LOW));
        expect(findDriver(chosen.protocol).create(chosen.driverOptions).protocol).toBe(protocol);
      }
  });
});
