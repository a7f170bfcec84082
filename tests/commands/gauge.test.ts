import { describe, expect, it } from "vitest";
import { driverOf, type GaugeWishes, readyGauge } from "../../src/commands/gauge.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { errorOf } from "../support/errors.ts";
import { limitsWith } from "../support/pressureCurve.ts";

const ready = (wishes: Partial<GaugeWishes>) =>
  readyGauge(
    {
      url: "sim://?seed=3",
      resolution_Pa: null,
      accuracy_fraction: null,
      accuracy_Pa: null,
      pace: null,
      bluetoothChild: "child.js",
      ...wishes,
    },
    limitsWith(),
    new QueueClock(),
    0,
  );

describe("a gauge made ready", () => {
  it("is simulated with its own step, unless another is told", () => {
    expect(ready({ url: "sim://?resolution=5" })).toMatchObject({ link: { source: "simulated" }, facts: { resolution_Pa: 5 } });
    expect(ready({ resolution_Pa: 2 }).facts.resolution_Pa).toBe(2);
  });

  it("gives a record enough to make the same driver again", () => {
    const { facts, driver } = ready({ url: "sim://?protocol=scpi" });
    expect(driverOf(facts).protocol).toBe(driver.protocol);
  });

  it("takes a pace only when simulated, and no option for a tube read by eye", () => {
    expect(errorOf(() => ready({ url: "serial:///dev/ttyUSB0?protocol=scpi", pace: 60 })).code).toBe("pace-real");
    expect(errorOf(() => ready({ url: "keyed://?baud=9600" }))).toMatchObject({ code: "gauge-url", exit: 64 });
    expect(ready({ url: "keyed://" }).facts.resolution_Pa).toBeGreaterThan(0);
  });

  it("is opened over Bluetooth by address or name; its record says that an environmental sensor is absolute", () => {
    const { facts, driver, link } = ready({ url: "ble://AA:BB:CC:DD:EE:FF?profile=ess" });
    expect(facts).toMatchObject({ protocol: "ess", reference: "absolute", url: "ble://AA:BB:CC:DD:EE:FF?profile=ess" });
    expect([driverOf(facts).reference, driver.reference, link.source]).toEqual(["absolute", "absolute", "gauge"]);
    expect(ready({ url: "ble://Gauge%207?profile=ess&reference=vented" })).toMatchObject({
      link: { describe: "the Bluetooth gauge Gauge 7" },
      facts: { reference: "vented" },
    });
    const text = ready({ url: "ble://Gauge%207?profile=uart&service=ffe0&notify=ffe1&unit=kPa" });
    expect(driverOf(text.facts).bluetooth?.services).toEqual(["ffe0"]);
  });

  it("is not opened over Bluetooth in a protocol of wires", () => {
    expect(errorOf(() => ready({ url: "ble://AA:BB:CC:DD:EE:FF?profile=scpi" }))).toMatchObject({ code: "gauge-url", exit: 64 });
  });
});
