import { describe, expect, it } from "vitest";
import { ess } from "../../drivers/ess.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { recordedLink } from "../../src/links/recorded.ts";
import { fold, startFold } from "../../src/session/fold.ts";
import { runSession, type Update } from "../../src/session/session.ts";
import { closedLoop } from "../support/closedLoop.ts";
import { startWith } from "../support/fedJudge.ts";
import { limitsWith } from "../support/pressureCurve.ts";

const limits = limitsWith({ settle_s: 60, hold_s: 120 });

/** A journal played again, to its last update. */
async function replayed(journal: JournalEvent[], start: Parameters<typeof runSession>[0]["start"]): Promise<Update> {
  const link = recordedLink(journal, { clock: new QueueClock(), source: "simulated", describe: "a replay" });
  return new Promise((resolve, reject) => {
    let last: Update | null = null;
    runSession({ link, driver: ess.create({}), start, journal: () => {}, recorded: true }).subscribe({
      next: (update) => {
        last = update;
      },
      error: reject,
      complete: () => (last === null ? reject(new Error("nothing was played")) : resolve(last)),
    });
  });
}

describe("an absolute gauge in a whole test", () => {
  it("passes a tight pipe while the barometer falls, its record says absolute, its zero is the air outside", async () => {
    const { start, journal, last, updates } = await closedLoop({ sim: "protocol=ess&leak=0.5&seed=7&barometer=-2", limits });
    expect(start.gauge).toMatchObject({ protocol: "ess", reference: "absolute" });
    expect(last.judge.verdict).toMatchObject({ verdict: "pass" });
    expect(last.judge.verdict?.hold).toMatchObject({ start_Pa: expect.closeTo(1000, -2) });
    const first = updates.flatMap((update) => update.readings)[0];
    expect(Math.abs(first?.pressure_Pa ?? Number.NaN)).toBeLessThan(5);

    const again = await replayed(journal, start);
    expect(again.judge.verdict).toEqual(last.judge.verdict);
  });

  it("fails one that leaks twice what is permitted", async () => {
    const { last } = await closedLoop({ sim: "protocol=ess&leak=2&seed=3", limits });
    expect(last.judge.verdict).toMatchObject({ verdict: "fail" });
  });
});

describe("bytes of any kind", () => {
  it("are counted and never thrown at, and the next record is read", () => {
    const driver = ess.create({});
    let state = driver.start();
    let seed = 1;
    let unused = 0;
    for (let i = 0; i < 500; i++) {
      const noise = Uint8Array.from({ length: 40 }, () => {
        seed = (seed * 1_664_525 + 1_013_904_223) >>> 0;
        return seed >>> 24;
      });
      const step = driver.next(state, { kind: "bytes", at_ms: i, bytes: noise });
      state = step.state;
      unused += step.unused;
    }
    expect(unused).toBeGreaterThan(19_000);
    // At most one record of noise stands half finished before it.
    const said = Uint8Array.of(...Array(40).fill(0xff), 0x6d, 0x2a, 4, 0xd2, 0x76, 0x0f, 0);
    const { readings } = driver.next(state, { kind: "bytes", at_ms: 1000, bytes: said });
    expect(readings.at(-1)).toEqual({ at_ms: 1000, pressure_Pa: 101_345.8, unit: "Pa" });
  });
});

describe("a flat battery", () => {
  it("is told in the step it comes in", () => {
    const driver = ess.create({});
    const step = driver.next(driver.start(), { kind: "bytes", at_ms: 0, bytes: Uint8Array.of(0x19, 0x2a, 1, 9) });
    expect(step.battery_percent).toBe(9);
  });

  it("is told to the crew once, and a full one never", () => {
    const told = (percent: number, times: number): string[] => {
      const folding = startFold(ess.create({}), startWith());
      const bytes = Uint8Array.of(0x19, 0x2a, 1, percent);
      return Array.from({ length: times }, (_, i) =>
        fold(folding, { kind: "bytes-in", bytes, seq: i, at_ms: i * 1000, wall_ms: i * 1000 }).turns.map(({ code }) => code),
      ).flat();
    };
    expect(told(9, 3).filter((code) => code === "battery-low").length).toBe(1);
    expect(told(90, 3)).not.toContain("battery-low");
  });
});
