/** A whole test with the real port library on a real tty, faults and all; only time is virtual. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it } from "vitest";
import { line } from "../../drivers/line.ts";
import { isStaunchError } from "../../src/core/errors.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../../src/core/record.ts";
import { readMethodJson } from "../../src/intake/methodJson.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { serialLink } from "../../src/links/serial.ts";
import { fold, startFold } from "../../src/session/fold.ts";
import { runSession, type Update } from "../../src/session/session.ts";
import { openPty, type Pty } from "../support/pty.ts";
import { pipeKnots } from "../support/scpiInstrument.ts";
import { turning } from "../support/until.ts";

const METHOD = readMethodJson(
  JSON.stringify({
    id: "short-own",
    title: "A short method of our own, for this check",
    source: "made up",
    medium: "air",
    stop: "fixed-time",
    charge: "1100 Pa",
    settle: "20 s",
    test: "1000 Pa",
    hold: "30 s",
    permittedDrop: "500 Pa",
    boundary: "less-or-equal",
  }),
);
const DN_mm = 20;
const LEAK_PA_MIN = 20;
const KNOTS = pipeKnots({
  quiet_s: 8,
  charge_Pa: 1100,
  settled_Pa: 1080,
  tau_s: 6,
  leak_Pa_min: LEAK_PA_MIN,
  pump_s: 15,
  trim_s: 98,
  start_Pa: 1003,
  vent_s: 152,
});
/** Inside the hold, which the judge starts between the bleeding at 100 s and the vent at 152 s. */
const MID_HOLD_s = 125;

function played_Pa(t_s: number): number {
  const after = KNOTS.findIndex(([at_s]) => at_s > t_s);
  const [[t0, p0], [t1, p1]] = [KNOTS[after - 1] ?? [0, 0], KNOTS[after] ?? [1, 0]];
  return after < 0 ? 0 : p0 + ((p1 - p0) * (t_s - t0)) / (t1 - t0);
}

const START: RecordStart = {
  id: "tty",
  started_wall_ms: 0,
  source: "pseudo-terminal",
  section: { id: "S1", dn_mm: DN_mm, material: null, laid_length_m: null },
  stage: "laid",
  tester: null,
  rule: "simple",
  strict: false,
  limits: limitsFor(METHOD, { dn_mm: DN_mm, material: null, laid_length_m: null }),
  gauge: { url: "serial:", protocol: "line", reference: "vented", resolution_Pa: 0.1, accuracy_fraction: null, accuracy_Pa: null },
  program: "tests",
  judge_version: JUDGE_VERSION,
};

let room = "";
let path = "";
const ptys: Pty[] = [];
const subscriptions: { unsubscribe(): void }[] = [];

beforeEach(() => {
  room = mkdtempSync(join(tmpdir(), "staunch-tty-"));
  path = join(room, "gauge");
});
afterEach(async () => {
  for (const one of subscriptions.splice(0)) one.unsubscribe();
  await Promise.all(ptys.splice(0).map((one) => one.end()));
  rmSync(room, { recursive: true });
});

async function plug(): Promise<Pty> {
  const pty = await openPty(path);
  ptys.push(pty);
  return pty;
}

/** A session on the line, and what it has come to. */
function running() {
  const clock = new QueueClock(0);
  const journal: JournalEvent[] = [];
  const seen = { clock, journal, readings: 0, isUp: false, verdict: null as Verdict | null, failure: null as unknown };
  const link = serialLink({ path, clock });
  const session = runSession({
    link,
    driver: line.create({ unit: "Pa" }),
    start: START,
    journal: (event) => void journal.push(event),
    patience_ms: 20_000,
  });
  subscriptions.push(
    session.subscribe({
      next: ({ event, readings, judge }: Update) => {
        seen.readings += readings.length;
        if (event.kind === "link-up") seen.isUp = true;
        if (event.kind === "link-down") seen.isUp = false;
        seen.verdict = judge.verdict;
      },
      error: (error) => {
        seen.failure = error;
      },
    }),
  );
  return seen;
}

/** How a figure goes onto the line. */
type Says = (pty: Pty, text: string, t_s: number) => void;
const plainly: Says = (pty, text) => pty.say(`${text}\n`);

/** Plays the pipe twice a second until there is a verdict; between `from_s` and `to_s` the line is pulled. */
async function wholeTest(says: Says = plainly, pulled?: { from_s: number; to_s: number }): Promise<Verdict> {
  path = join(room, `gauge-${ptys.length}`);
  let pty = await plug();
  const seen = running();
  await turning("the line to be up", () => seen.isUp);
  for (let t_s = 0.5; t_s < 200 && seen.verdict === null; t_s += 0.5) {
    if (pulled !== undefined && t_s === pulled.from_s) await pty.hang();
    seen.clock.runUntil(t_s * 1000);
    if (pulled !== undefined && t_s >= pulled.from_s && t_s < pulled.to_s) continue;
    if (pulled !== undefined && t_s === pulled.to_s) {
      pty = await plug();
      await turning(
        "the line to be up again",
        () => seen.isUp,
        // Opening a port takes real time: virtual time waits for it, or the hold would be over before.
        () => seen.clock.now_ms() < (t_s + 3) * 1000 && seen.clock.runNext(),
      );
      t_s = Math.ceil(seen.clock.now_ms() / 500) / 2;
      seen.clock.runUntil(t_s * 1000);
    }
    const before = seen.readings;
    says(pty, played_Pa(t_s).toFixed(1), t_s);
    await turning(`the reading at ${t_s} s`, () => seen.readings > before || seen.verdict !== null);
  }
  if (seen.verdict === null) throw new Error("the test came to no verdict");
  const again = startFold(line.create({ unit: "Pa" }), START);
  for (const event of seen.journal) fold(again, event);
  expect(JSON.stringify(again.judge.verdict)).toBe(JSON.stringify(seen.verdict));
  return seen.verdict;
}

it("an undisturbed line ends in a pass with the drop that was played", async () => {
  const { verdict, reasons, hold } = await wholeTest();
  expect({ verdict, reasons }).toEqual({ verdict: "pass", reasons: [] });
  // 20 Pa/min over the half minute of the hold.
  expect(Math.abs((hold.drop_Pa ?? Number.NaN) - LEAK_PA_MIN / 2)).toBeLessThan(0.5);
});

it("garbage between figures and figures cut in two change no figure of the verdict", async () => {
  const plain = await wholeTest();
  const disturbed = await wholeTest((pty, text, t_s) => {
    if (t_s % 5 === 0) pty.say("\u00ff\u0001#~\n");
    const cut = Math.floor(text.length / 2);
    pty.say(text.slice(0, cut));
    pty.say(`${text.slice(cut)}\n`);
  });
  expect(disturbed).toEqual(plain);
});

it("a line pulled in mid hold and put back is in the journal and voids the pass", async () => {
  const verdict = await wholeTest(plainly, { from_s: MID_HOLD_s, to_s: MID_HOLD_s + 8 });
  expect({ verdict: verdict.verdict, reasons: verdict.reasons.map(({ code }) => code) }).toEqual({
    verdict: "void",
    reasons: ["gauge-silent"],
  });
});

it("a gauge dead from the start is an error with exit code 69 and no reading in the journal", async () => {
  await plug();
  const seen = running();
  await turning(
    "patience to run out",
    () => seen.failure !== null,
    () => seen.clock.runNext(),
  );
  expect(isStaunchError(seen.failure, "gauge-no-reading")).toBe(true);
  expect(seen.failure).toMatchObject({ exit: 69 });
  expect(seen.journal.some(({ kind }) => kind === "bytes-in" || kind === "end")).toBe(false);
});
