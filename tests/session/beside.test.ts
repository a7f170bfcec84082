import { lastValueFrom } from "rxjs";
import { describe, expect, it } from "vitest";
import { findDriver } from "../../drivers/index.ts";
import { simulatedSettings } from "../../drivers/simulated/settings.ts";
import { speakerFor } from "../../drivers/simulated/speaker.ts";
import { barometer_Pa } from "../../drivers/simulated/weather.ts";
import { joinedDriver } from "../../src/core/beside.ts";
import { EXIT, StaunchError } from "../../src/core/errors.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { recordedLink } from "../../src/links/recorded.ts";
import { simulatedLink } from "../../src/links/simulated.ts";
import { runSession, type Update } from "../../src/session/session.ts";
import { restless } from "../support/closedLoop.ts";
import { startWith } from "../support/fedJudge.ts";
import { HandLink, handDriver } from "../support/handLink.ts";

/** A session of two gauges worked by hand, with all that came of it. */
function ran() {
  const link = new HandLink();
  const other = new HandLink();
  const journal: JournalEvent[] = [];
  const updates: Update[] = [];
  const failures: unknown[] = [];
  const driver = joinedDriver(handDriver(), [{ role: "atmosphere", driver: handDriver({ asks: true }) }]);
  const plain = startWith();
  const start = { ...plain, also: [{ role: "atmosphere" as const, gauge: plain.gauge }] };
  const session = runSession({ link, beside: [other], driver, start, journal: (event) => journal.push(event) });
  const subscription = session.subscribe({ next: (update) => updates.push(update), error: (error) => failures.push(error) });
  const said = (): string[] => updates.flatMap(({ turns }) => turns.filter(({ code }) => code === "beside").map(({ text }) => text));
  return { link, other, journal, updates, failures, subscription, said };
}

describe("a second line", () => {
  it("stands in the journal with its number, is asked on its own line, and fills the readings", () => {
    const { link, other, journal, updates } = ran();
    link.says({ kind: "link-up", detail: "one" });
    link.clock.runUntil(10);
    other.says({ kind: "link-up", detail: "two" });
    other.reads(101_300);
    link.reads(5);
    expect(journal.map(({ kind, line = 0, at_ms }) => [kind, line, at_ms])).toEqual([
      ["link-up", 0, 0],
      ["link-up", 1, 10],
      ["bytes-in", 1, 10],
      ["bytes-in", 0, 10],
    ]);
    expect(other.sent).toEqual(["?0", "?1"]);
    expect(link.sent).toEqual([]);
    expect(updates.at(-1)?.readings).toMatchObject([{ pressure_Pa: 5, ambient_Pa: 101_300 }]);
  });

  it("is no more than a note when it is lost or gives up", () => {
    const { link, other, updates, failures, said } = ran();
    link.says({ kind: "link-up", detail: "one" });
    other.says({ kind: "link-up", detail: "two" });
    other.says({ kind: "link-down", reason: "it was pulled." });
    other.fails(new StaunchError({ code: "port-gone", message: "The port is gone.", hint: "", exit: EXIT.gauge }));
    link.reads(5);
    expect(failures).toEqual([]);
    expect(said()).toEqual([
      "The atmosphere gauge is there: two.",
      "The atmosphere gauge is lost: it was pulled. The test goes on without it.",
      "The atmosphere gauge is lost: The port is gone. The test goes on without it.",
    ]);
    expect(updates.at(-1)?.judge.view(0).gauge).toMatchObject({ up: true, outages: 0 });
  });

  it("does not pass for the pipe's gauge: its readings keep no test alive", () => {
    const { link, other, journal } = ran();
    link.says({ kind: "link-up", detail: "one" });
    for (let at_ms = 500; at_ms <= 5000; at_ms += 500) {
      link.clock.runUntil(at_ms);
      other.reads(101_300);
    }
    expect(journal.filter(({ kind }) => kind === "silence").length).toBeGreaterThan(2);
  });

  it("is closed with the test", async () => {
    const { link, other, subscription } = ran();
    subscription.unsubscribe();
    await Promise.resolve();
    expect([link.closed, other.closed]).toEqual([1, 1]);
  });
});

const LIMITS = limitsFor("uk-100mm", { dn_mm: 150, material: "clay", laid_length_m: 30 });

/** A whole test on the simulated pipe under a moving barometer, with or without a gauge that reads it. */
async function weathered(hPa_h: number, reads: boolean) {
  const { test_Pa, charge_Pa, permittedDrop_Pa, hold_s } = LIMITS;
  const options = { leak: "1.1", seed: "11", barometer: String(hPa_h) };
  const settings = simulatedSettings(options, { test_Pa, charge_Pa, permittedDrop_Pa, hold_s, dn_mm: 150, length_m: 30 });
  const other = new HandLink();
  const link = simulatedLink(settings, {
    pace: "as-fast-as-possible",
    real: restless,
    wallStart_ms: 1_767_225_600_000,
    watch: (pipe) => (reads ? other.reads(barometer_Pa(pipe)) : undefined),
  });
  const { protocol, driverOptions } = speakerFor(settings);
  const driver = joinedDriver(findDriver(protocol).create(driverOptions), [{ role: "atmosphere", driver: handDriver() }]);
  const start = startWith(LIMITS, { source: "simulated" });
  const journal: JournalEvent[] = [];
  const last = await lastValueFrom(runSession({ link, beside: [other], driver, start, journal: (event) => journal.push(event) }));
  return { verdict: last.judge.verdict, journal, driver, start };
}

describe("a whole test beside a barometer", () => {
  it("shows that a falling barometer hides a fail, of which the gauge on the pipe alone knows nothing", async () => {
    // Falling by 6 hPa/h it takes 50 Pa off the fall a vented gauge sees in 5 min: 1.1 × 245 − 50 Pa stay below the 245 Pa permitted.
    const blind = await weathered(-6, false);
    expect(blind.verdict?.verdict).toBe("pass");
    const seen = await weathered(-6, true);
    expect(seen.verdict?.reasons.map(({ code }) => code)).toEqual(["drift-decides-barometer"]);
  });

  it("replays to the same verdict", async () => {
    const { verdict, journal, driver, start } = await weathered(-6, true);
    expect(journal.some(({ line }) => line === 1)).toBe(true);
    const link = recordedLink(journal, { clock: new QueueClock(start.started_wall_ms), source: "simulated", describe: "again" });
    const again = await lastValueFrom(runSession({ link, driver, start, recorded: true, journal: () => undefined }));
    expect(again.judge.verdict).toEqual(verdict);
  });
});
