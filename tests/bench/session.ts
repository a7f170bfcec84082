/**
 * Judging a million readings through the whole session (link, RxJS, journal, fold) against a plain loop that does the same work
 * with the same driver and judge. Ratios of one run; the goal is at most × 3.
 */
import { lastValueFrom } from "rxjs";
import { findDriver } from "../../drivers/index.ts";
import type { JournalEvent, StampedEvent } from "../../src/core/journal.ts";
import { LiveJudge } from "../../src/core/judging/liveJudge.ts";
import type { Link } from "../../src/core/link.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { runSession } from "../../src/session/session.ts";
import { pressure, start } from "./longTest.ts";

const READINGS = 1_000_000;
const RATE_Hz = 1000;
const GOAL = 3;

const encoder = new TextEncoder();
const events: StampedEvent[] = [{ kind: "link-up", detail: "bench", at_ms: 0, wall_ms: 0 }];
for (let i = 1; i <= READINGS; i++) {
  const at_ms = Math.round((i * 1000) / RATE_Hz);
  const bytes = encoder.encode(`${(pressure(at_ms / 1000) + (i % 3)).toFixed(0)} Pa\r\n`);
  events.push({ kind: "bytes-in", bytes, at_ms, wall_ms: at_ms });
}

function loop(): number {
  const driver = findDriver("line").create({});
  const judge = new LiveJudge(start);
  let state = driver.start();
  const from = process.hrtime.bigint();
  for (const event of events) {
    const asked =
      event.kind === "bytes-in"
        ? { kind: "bytes" as const, at_ms: event.at_ms, bytes: event.bytes }
        : { kind: "opened" as const, at_ms: 0 };
    const step = driver.next(state, asked);
    state = step.state;
    judge.time(event.at_ms, event.wall_ms);
    for (const reading of step.readings) judge.reading(reading, event.wall_ms);
  }
  judge.end("finished", "", READINGS);
  return Number(process.hrtime.bigint() - from) / 1e6;
}

async function session(): Promise<number> {
  const link: Link = {
    clock: new QueueClock(0),
    source: "simulated",
    describe: "bench",
    open: (sink) => {
      setImmediate(() => {
        for (const event of events) sink.event(event);
        sink.event({ kind: "end", cause: "finished", detail: "", at_ms: READINGS, wall_ms: READINGS });
      });
      return { send: () => undefined, close: () => Promise.resolve() };
    },
  };
  const journal: JournalEvent[] = [];
  const driver = findDriver("line").create({});
  const from = process.hrtime.bigint();
  const last = await lastValueFrom(runSession({ link, driver, start, recorded: true, journal: (event) => void journal.push(event) }));
  if (last.judge.verdict === null || journal.length !== READINGS + 2) throw new Error("the session did not judge it all");
  return Number(process.hrtime.bigint() - from) / 1e6;
}

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
loop();
const rounds: { loop: number; session: number }[] = [];
for (let i = 0; i < 3; i++) rounds.push({ loop: loop(), session: await session() });
const bare = median(rounds.map((round) => round.loop));
const whole = median(rounds.map((round) => round.session));
console.log(
  `1e6 readings: plain loop ${bare.toFixed(0)} ms, whole session ${whole.toFixed(0)} ms   × ${(whole / bare).toFixed(2)}   goal: at most × ${GOAL}`,
);
process.exitCode = whole / bare <= GOAL ? 0 : 1;
