import { describe, expect, it } from "vitest";
import { driverOf, type GaugeWishes, readyGauge } from "../../src/commands/gauge.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { errorOf } from "../support/errors.ts";
import { limitsWith } from "../support/pressureCurve.ts";

const ready = (wishes: Partial<GaugeWishes>) =>
  readyGauge(
    { url: "sim://?seed=3", resolution_Pa: null, accuracy_fraction: null, accuracy_Pa: null, pace: null, ...wishes },
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
});
