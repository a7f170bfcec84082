import { beforeAll, describe, expect, it } from "vitest";
import { ess } from "../../drivers/ess.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import type { RecordStart } from "../../src/core/record.ts";
import { bleLink } from "../../src/links/ble.ts";
import { fold, startFold } from "../../src/session/fold.ts";
import { runSession, type Update } from "../../src/session/session.ts";
import { startWith } from "../support/fedJudge.ts";
import { gaugeWith, limitsWith } from "../support/pressureCurve.ts";
import { pipeOverBluetooth } from "../support/virtualBluetooth/pipeOverBluetooth.ts";
import { CHILD_PATH, Room } from "../support/virtualBluetooth/room.ts";

const ADDRESS = "C0:00:00:00:00:02";
const SPEED = 20;
const limits = limitsWith({ settle_s: 60, hold_s: 240 });
const start: RecordStart = startWith(limits, {
  gauge: gaugeWith({ url: `ble://${ADDRESS}?profile=ess`, protocol: "ess", reference: "absolute", resolution_Pa: 0.1 }),
});

interface Done {
  last: Update;
  journal: JournalEvent[];
}

/** A whole test over the air; 40 s into the hold the gauge goes out of range for so long. */
async function testWith(outage_s: number): Promise<Done> {
  const room = new Room(SPEED);
  const pipe = pipeOverBluetooth(room, ADDRESS.toLowerCase(), "leak=0.5&seed=7&rate=10&resolution=0.1", limits);
  const driver = ess.create({});
  const channels = driver.bluetooth ?? { services: [], notify: [] };
  const options = { clock: room.clock, childPath: CHILD_PATH, execArgv: room.execArgv(), describe: ADDRESS, channels };
  const link = bleLink({ ...options, target: { by: "address", text: ADDRESS } });
  const journal: JournalEvent[] = [];
  const session = runSession({ link, driver, start, journal: (event) => void journal.push(event), patience_ms: 60_000 });
  try {
    return await new Promise<Done>((resolve, reject) => {
      let last: Update | null = null;
      let asked = "";
      let phase = "";
      session.subscribe({
        next: (update) => {
          last = update;
          const { stage } = update.judge.phases;
          if (stage.ask.say !== asked) pipe.hear(stage.ask.act);
          asked = stage.ask.say;
          if (stage.phase === "hold" && phase !== "hold") {
            room.air.after(40_000, () => room.air.move(pipe.gauge.controller, true));
            room.air.after(40_000 + outage_s * 1000, () => room.air.move(pipe.gauge.controller, false));
          }
          phase = stage.phase;
        },
        error: reject,
        complete: () => (last === null ? reject(new Error("nothing happened")) : resolve({ last, journal })),
      });
    });
  } finally {
    await pipe.end();
    await room.close();
  }
}

const kinds = ({ journal }: Done, kind: JournalEvent["kind"]): JournalEvent[] => journal.filter((event) => event.kind === kind);

describe("a gauge that goes out of range in the hold", () => {
  let short: Done;
  let long: Done;
  beforeAll(async () => {
    [short, long] = await Promise.all([testWith(6), testWith(45)]);
  }, 60_000);

  it("and is back soon: the link was lost, found again, and the hold stands", () => {
    expect(kinds(short, "link-down").length).toBe(1);
    expect(kinds(short, "link-up").length).toBe(2);
    expect(short.last.judge.verdict).toMatchObject({ verdict: "pass", reasons: [] });
    expect(short.last.judge.verdict?.remarks.map(({ code }) => code)).toContain("gap");
    expect(short.last.judge.start.gauge.reference).toBe("absolute");
  });

  it("and stays away for a fifth of it: void, because nobody listened", () => {
    expect(kinds(long, "link-down").length).toBe(1);
    expect(long.last.judge.verdict).toMatchObject({ verdict: "void" });
    expect(long.last.judge.verdict?.reasons.map(({ code }) => code)).toContain("gauge-silent");
  });

  it("is judged the same when its journal is folded again", () => {
    const again = startFold(ess.create({}), start);
    for (const event of short.journal) fold(again, event);
    expect(again.judge.verdict).toEqual(short.last.judge.verdict);
    expect(again.judge.health.view(0).identity).toBe(ADDRESS);
  });
});
