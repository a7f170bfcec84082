/**
 * A long recording made into a film for the replay screen, against a bare loop over the same bytes with the same driver and judge: time and
 * memory of one run, rounds by turns. `npm run bench -- film 300000` takes so many readings.
 */
import { lastValueFrom, tap } from "rxjs";
import { findDriver } from "../../drivers/index.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { LiveJudge } from "../../src/core/judging/liveJudge.ts";
import { Film } from "../../src/core/replay/film.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { recordedLink } from "../../src/links/recorded.ts";
import { runSession } from "../../src/session/session.ts";
import { pressure, start } from "./longTest.ts";

const READINGS = Number(process.argv[2] ?? 1_000_000);
const RATE_Hz = 200;
const ROUNDS = 3;
const GOAL = 3.5;
/** Beside what came down the line: a day at ten readings a second then stays under 300 MB. */
const BYTES_GOAL = 350;
/** The test takes so long; before it the gauge lies in the open, for an hour at most, or there is no test. */
const TEST_s = 1200;
const begins_s = Math.min(3500, Math.max(0, READINGS / RATE_Hz - TEST_s));

const encoder = new TextEncoder();
const events: JournalEvent[] = [{ kind: "link-up", detail: "bench", seq: 0, at_ms: 0, wall_ms: 0 }];
let lineBytes = 0;
for (let i = 1; i <= READINGS; i++) {
  const at_ms = Math.round((i * 1000) / RATE_Hz);
  const bytes = encoder.encode(`${(pressure(at_ms / 1000 - begins_s) + (i % 3)).toFixed(0)} Pa\r\n`);
  lineBytes += bytes.length;
  events.push({ kind: "bytes-in", bytes, seq: i, at_ms, wall_ms: at_ms });
}
const last_ms = Math.round((READINGS * 1000) / RATE_Hz);
events.push({ kind: "end", cause: "finished", detail: "", seq: READINGS + 1, at_ms: last_ms, wall_ms: last_ms });

const since_s = (from: bigint): number => Number(process.hrtime.bigint() - from) / 1e9;

function loop(): number {
  const driver = findDriver("line").create({});
  const judge = new LiveJudge(start);
  let state = driver.start();
  const from = process.hrtime.bigint();
  for (const event of events) {
    if (event.kind === "end") break;
    const asked =
      event.kind === "bytes-in"
        ? { kind: "bytes" as const, at_ms: event.at_ms, bytes: event.bytes }
        : { kind: "opened" as const, at_ms: 0 };
    const step = driver.next(state, asked);
    state = step.state;
    judge.time(event.at_ms, event.wall_ms);
    for (const reading of step.readings) judge.reading(reading, event.wall_ms);
  }
  judge.end("finished", "", last_ms);
  return since_s(from);
}

async function film(): Promise<{ seconds: number; film: Film }> {
  const made = new Film(start);
  const link = recordedLink(events, { clock: new QueueClock(0), source: "simulated", describe: "bench" });
  const from = process.hrtime.bigint();
  await lastValueFrom(
    runSession({ link, driver: findDriver("line").create({}), start, recorded: true, journal: () => undefined }).pipe(
      tap(({ event, readings, turns, judge }) => made.add({ event, readings, turns, view: judge.view(event.at_ms) })),
    ),
  );
  made.finish();
  return { seconds: since_s(from), film: made };
}

const memory = (): number => {
  globalThis.gc?.();
  const { heapUsed, arrayBuffers } = process.memoryUsage();
  return heapUsed + arrayBuffers;
};
const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;

loop();
const rounds: { loop: number; film: number; bytes: number }[] = [];
for (let i = 0; i < ROUNDS; i++) {
  const bare = loop();
  const before = memory();
  const made = await film();
  const bytes = (memory() - before - lineBytes) / READINGS;
  const { verdict, readings } = made.film;
  if (verdict?.hold.from_s == null || readings.length !== READINGS) throw new Error("the film is not whole, or of no test");
  rounds.push({ loop: bare, film: made.seconds, bytes });
}
const [bare, whole, bytes] = [rounds.map((one) => one.loop), rounds.map((one) => one.film), rounds.map((one) => one.bytes)].map(median);
if (bare === undefined || whole === undefined || bytes === undefined) throw new Error("no rounds");
const ratio = whole / bare;
console.log(
  `${READINGS} readings: bare loop ${bare.toFixed(2)} s, film ${whole.toFixed(2)} s (${((whole * 1e6) / READINGS).toFixed(1)} s a million)   × ${ratio.toFixed(2)}   goal: at most × ${GOAL}`,
);
console.log(`kept beside the line's own bytes: ${bytes.toFixed(0)} bytes a reading   goal: at most ${BYTES_GOAL}`);
process.exitCode = ratio <= GOAL && bytes <= BYTES_GOAL ? 0 : 1;
