/**
 * The screen of `live` at ten frames and ten readings a second: does its heap stay flat, and what does a frame cost? Then a day of ten
 * readings a second without a screen. `live [frames]`; limits as for the test screen (2 MB, 12 % of a core).
 */
import { Writable } from "node:stream";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { LiveGauge } from "../../src/core/live/liveGauge.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { runLiveScreen } from "../../src/terminal/runLive.ts";
import { LIVE_FACTS } from "../terminal/cannedLive.ts";
import { fakeKeyboard } from "../terminal/fakeTerminal.ts";

setFlagsFromString("--expose-gc");
const collect = runInNewContext("gc") as () => void;
const LIMIT_MB = 2;
const LIMIT_SHARE = 0.12;
const INTERVAL_ms = 100;

const heap_MB = (): number => {
  collect();
  collect();
  const { heapUsed, arrayBuffers } = process.memoryUsage();
  return (heapUsed + arrayBuffers) / 1e6;
};

function freshGauge(): LiveGauge {
  const gauge = new LiveGauge({ reference: "vented", volume_m3: 1 });
  gauge.time(0);
  gauge.link(true);
  return gauge;
}

const read = (gauge: LiveGauge, i: number): void =>
  gauge.reading({ at_ms: i * INTERVAL_ms, pressure_Pa: 20_000 - i / 20 + ((i * 7919) % 101) / 20, unit: null, air_C: 15 + (i % 90) / 10 });

async function onScreen(columns: number, rows: number, frames: number): Promise<boolean> {
  const clock = new QueueClock();
  const gauge = freshGauge();
  const sink = Object.assign(new Writable({ write: (_, __, done) => done() }), { isTTY: true, columns, rows });
  const screen = await runLiveScreen({
    stdin: fakeKeyboard(),
    stdout: sink as unknown as NodeJS.WriteStream,
    facts: LIVE_FACTS,
    sound: true,
    clock,
    look: () => ({ view: gauge.view(), recent: gauge.recent() }),
    onKey: () => {},
    onError: (error) => {
      throw error;
    },
  });
  let i = 0;
  const play = async (count: number): Promise<void> => {
    for (const end = i + count; i < end; i++) {
      read(gauge, i);
      screen.news();
      clock.runUntil(clock.now_ms() + INTERVAL_ms);
      // ink throttles its writes by timers of its own; let them come due.
      await new Promise((resolve) => setImmediate(resolve));
    }
  };
  await play(2500);
  const before_MB = heap_MB();
  const cpu = process.cpuUsage();
  await play(frames);
  const used = process.cpuUsage(cpu);
  const growth_MB = heap_MB() - before_MB;
  const frame_ms = (used.user + used.system) / 1000 / frames;
  screen.close();
  const good = growth_MB <= LIMIT_MB && frame_ms / INTERVAL_ms <= LIMIT_SHARE;
  console.log(
    `live ${columns}x${rows}: ${frames} frames, heap ${before_MB.toFixed(1)} MB ${growth_MB >= 0 ? "+" : ""}${growth_MB.toFixed(2)} MB (limit +${LIMIT_MB}), ` +
      `${frame_ms.toFixed(2)} ms CPU a frame = ${frame_ms.toFixed(1)} % of a core (limit ${LIMIT_SHARE * 100}): ${good ? "ok" : "OVER"}`,
  );
  return good;
}

function aDay(): boolean {
  const gauge = freshGauge();
  for (let i = 0; i < 36_000; i++) read(gauge, i);
  const before_MB = heap_MB();
  for (let i = 36_000; i < 864_000; i++) read(gauge, i);
  const growth_MB = heap_MB() - before_MB;
  const good = growth_MB <= LIMIT_MB;
  console.log(
    `a day at 10/s without a screen: heap ${growth_MB >= 0 ? "+" : ""}${growth_MB.toFixed(2)} MB after its first hour: ${good ? "ok" : "OVER"}`,
  );
  return gauge.readings === 864_000 && good;
}

const frames = Number(process.argv[2] ?? 10_000);
const results = [await onScreen(80, 24, frames), await onScreen(120, 40, frames), aDay()];
process.exitCode = results.every((good) => good) ? 0 : 1;
