/** The instrument that end-to-end tests talk to is checked here over the line they use. */
import { expect, test } from "vitest";
import { scpi } from "../../drivers/scpi.ts";
import type { DriverEvent, Reading } from "../../src/core/driver.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { serialLink } from "../../src/links/serial.ts";
import { pipeKnots, startInstrument } from "../support/scpiInstrument.ts";
import { KeptSink } from "../support/sink.ts";

test("it names itself and answers with the pressure of its script", async () => {
  const instrument = await startInstrument({
    knots: [
      [0, 10_000],
      [1000, 0],
    ],
    noise_Pa: 1,
    seed: 7,
  });
  const clock = new QueueClock();
  const sink = new KeptSink();
  const driver = scpi.create({});
  const readings: Reading[] = [];
  let identity: string | undefined;
  let state = driver.start();
  const line = serialLink({ path: instrument.path, clock }).open(sink);
  const feed = (event: DriverEvent) => {
    const step = driver.next(state, event);
    state = step.state;
    readings.push(...step.readings);
    identity ??= step.identity;
    for (const bytes of step.send) line.send(bytes);
    // Virtual time jumps to the next question as soon as one is answered.
    if (step.readings.length > 0 && step.wakeAt_ms !== undefined && readings.length < 5) {
      clock.runUntil(step.wakeAt_ms);
      feed({ kind: "wake", at_ms: step.wakeAt_ms });
    }
  };
  sink.reply = (event) => {
    if (event.kind === "link-up") feed({ kind: "opened", at_ms: event.at_ms });
    if (event.kind === "bytes-in") feed({ kind: "bytes", at_ms: event.at_ms, bytes: event.bytes });
  };
  await sink.until("five readings", () => readings.length === 5);
  await line.close();
  await instrument.end();
  expect(identity).toBe("EXAMPLE WORKS,PG-1,0,1.0");
  const pressures = readings.map((one) => one.pressure_Pa ?? Number.NaN);
  // 10 Pa/s from 10 000 Pa with noise of 1 Pa: five answers even in the 10 s of patience stay within 110 Pa.
  for (const pressure_Pa of pressures) expect(Math.abs(pressure_Pa - 9950)).toBeLessThan(60);
  expect(new Set(pressures).size).toBeGreaterThan(1);
});

test("its pipe is pumped, settles, is bled to the start, leaks and is vented", () => {
  const knots = pipeKnots({
    quiet_s: 3,
    charge_Pa: 1100,
    settled_Pa: 1050,
    tau_s: 5,
    leak_Pa_min: 6,
    pump_s: 10,
    trim_s: 60,
    start_Pa: 1000,
    vent_s: 120,
  });
  const at = (t_s: number) => knots.find((one) => one[0] === t_s)?.[1];
  expect([at(3), at(13), at(62)]).toEqual([0, 1100, 1000]);
  // Closed form at 60 s: 1050 + 50 e^(−47/5) − 0.1·47; at 120 s: 1000 − 0.1·58.
  expect(at(60)).toBeCloseTo(1050 + 50 * Math.exp(-47 / 5) - 4.7, 9);
  expect(at(120)).toBeCloseTo(994.2, 9);
  expect(knots.at(-1)?.[1]).toBeLessThan(0.1);
  expect(knots.map((one) => one[0])).toEqual([...knots.map((one) => one[0])].sort((a, b) => a - b));
});
