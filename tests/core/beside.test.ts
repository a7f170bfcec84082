import { describe, expect, it } from "vitest";
import { findDriver } from "../../drivers/index.ts";
import { type Beside, joinedDriver } from "../../src/core/beside.ts";
import type { Driver, DriverEvent, DriverStep } from "../../src/core/driver.ts";
import { handDriver } from "../support/handLink.ts";

const pipe = findDriver("line").create({ unit: "Pa" });
const atmosphere: Beside = { role: "atmosphere", driver: findDriver("line").create({ unit: "hPa" }) };
const inside: Beside = {
  role: "pipe-temperature",
  driver: findDriver("line").create({ unit: "Pa", separator: "semicolon", field: "1", airField: "2" }),
};

/** A joined driver fed by hand; `at_s` on the journal's clock. */
class Fed {
  readonly #driver: Driver;
  #state: unknown;
  readonly notes: string[] = [];

  constructor(main: Driver, ...beside: Beside[]) {
    this.#driver = joinedDriver(main, beside);
    this.#state = this.#driver.start();
  }

  step(event: DriverEvent): DriverStep<unknown> {
    const step = this.#driver.next(this.#state, event);
    this.#state = step.state;
    this.notes.push(...(step.notes ?? []));
    return step;
  }

  says(text: string, at_s: number, line?: number): DriverStep<unknown> {
    const bytes = new TextEncoder().encode(`${text}\n`);
    return this.step({ kind: "bytes", at_ms: 1000 * at_s, bytes, ...(line === undefined ? {} : { line }) });
  }
}

describe("gauges joined", () => {
  it("put the newest value of each into the readings of the one on the pipe", () => {
    const fed = new Fed(pipe, atmosphere, inside);
    expect(fed.says("1000", 0).readings).toMatchObject([{ pressure_Pa: 1000, ambient_Pa: null, air_C: null }]);
    expect(fed.says("1013.25", 1, 1).readings).toEqual([]);
    fed.says("5;14.5", 2, 2);
    fed.says("1013.35", 3, 1);
    expect(fed.says("990", 4).readings).toMatchObject([{ at_ms: 4000, pressure_Pa: 990, ambient_Pa: 101_335, air_C: 14.5 }]);
  });

  it("leave a value out once it is 30 s old, and say so once", () => {
    const fed = new Fed(pipe, atmosphere);
    fed.says("1013.25", 0, 1);
    expect(fed.says("1000", 30).readings).toMatchObject([{ ambient_Pa: 101_325 }]);
    expect(fed.says("1000", 30.1).readings).toMatchObject([{ ambient_Pa: null }]);
    fed.says("1000", 31);
    fed.says("1013.2", 40, 1);
    expect(fed.says("1000", 41).readings).toMatchObject([{ ambient_Pa: 101_320 }]);
    expect(fed.notes).toEqual([
      "The atmosphere gauge has been silent for 30 s: the test goes on without it.",
      "The atmosphere gauge is back.",
    ]);
  });

  it("refuse what no barometer shows, once in words", () => {
    const fed = new Fed(pipe, atmosphere);
    for (const at_s of [0, 1, 2]) fed.says("12", at_s, 1);
    expect(fed.says("1000", 3).readings).toMatchObject([{ ambient_Pa: null }]);
    expect(fed.notes).toEqual(["The atmosphere gauge shows 12 hPa, which it cannot be: it is left out."]);
  });

  it("keep their queries, timers and bad bytes apart", () => {
    const fed = new Fed(handDriver({ asks: true, wake_ms: 700 }), {
      role: "atmosphere",
      driver: handDriver({ asks: true, wake_ms: 1000 }),
    });
    const text = ({ send, beside = [], wakeAt_ms }: DriverStep<unknown>) => ({
      send: send.map((bytes) => Buffer.from(bytes).toString()),
      beside: beside.map(({ line, bytes }) => `${line}:${Buffer.from(bytes).toString()}`),
      wakeAt_ms,
    });
    expect(text(fed.step({ kind: "opened", at_ms: 0 }))).toEqual({ send: ["?0"], beside: [], wakeAt_ms: 700 });
    expect(text(fed.step({ kind: "opened", at_ms: 100, line: 1 }))).toEqual({ send: [], beside: ["1:?0"], wakeAt_ms: 700 });
    expect(text(fed.step({ kind: "wake", at_ms: 700 }))).toEqual({ send: ["?1"], beside: [], wakeAt_ms: 1100 });
    expect(text(fed.step({ kind: "wake", at_ms: 1100 }))).toEqual({ send: [], beside: ["1:?1"], wakeAt_ms: 1400 });
    expect(text(fed.step({ kind: "wake", at_ms: 2500 }))).toEqual({ send: ["?2"], beside: ["1:?2"], wakeAt_ms: 3200 });
    const noisy = new Fed(pipe, atmosphere);
    expect(noisy.says("nonsense", 0, 1)).toMatchObject({ unused: 0, readings: [] });
    expect(noisy.says("nonsense", 0).unused).toBeGreaterThan(0);
  });

  it("are the one driver itself when there is nothing beside it", () => expect(joinedDriver(pipe, [])).toBe(pipe));

  it("let a line nobody knows go by", () => expect(new Fed(pipe, atmosphere).says("1000", 0, 7)).toMatchObject({ readings: [], send: [] }));
});
