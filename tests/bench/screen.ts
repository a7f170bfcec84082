/**
 * The live screen at ten frames a second with ever-new text: does its heap stay flat, and what does a frame cost?
 * Run: NODE_ENV=production npx tsx tests/bench/screen.ts [frames]. Limits: issue of the first version (2 MB, 12 % of a core).
 */
import { Writable } from "node:stream";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { QueueClock } from "../../src/links/queueClock.ts";
import { runTestScreen } from "../../src/terminal/runTest.tsx";
import { FRAME_MS } from "../../src/terminal/testLoop.ts";
import { CANNED, CAUTIONS, START } from "../terminal/canned.ts";
import { fakeKeyboard } from "../terminal/fakeTerminal.ts";

setFlagsFromString("--expose-gc");
const collect = runInNewContext("gc") as () => void;

const LIMIT_MB = 2;
const LIMIT_SHARE = 0.12;

/** A terminal that counts and forgets. */
class Sink extends Writable {
  readonly isTTY = true;
  bytes = 0;
  frames = 0;
  readonly columns: number;
  readonly rows: number;
  constructor(columns: number, rows: number) {
    super({
      write: (chunk: Buffer, _encoding, done) => {
        this.bytes += chunk.length;
        if (chunk.length > 400) this.frames++;
        done();
      },
    });
    this.columns = columns;
    this.rows = rows;
  }
}

const heap_MB = (): number => {
  collect();
  collect();
  return process.memoryUsage().heapUsed / 1e6;
};

async function run(columns: number, rows: number, frames: number): Promise<boolean> {
  const base = CANNED["hold"]?.view;
  if (base?.hold == null) throw new Error("no canned hold");
  const clock = new QueueClock();
  const sink = new Sink(columns, rows);
  const screen = await runTestScreen({
    stdin: fakeKeyboard(),
    stdout: sink as unknown as NodeJS.WriteStream,
    start: START,
    unit: "mbar",
    cautions: CAUTIONS,
    clock,
    onKey: () => {},
    onError: (error) => {
      throw error;
    },
  });
  let frame = 0;
  const play = async (count: number): Promise<void> => {
    for (const end = frame + count; frame < end; frame++) {
      const at_s = 430 + frame / 10;
      // Never the same text twice: the figures move like a noisy gauge's, the turns carry a number.
      const drop_Pa = 700 + 600 * Math.sin(frame / 997) + ((frame * 7919) % 101);
      const view = {
        ...base,
        at_s,
        pressure_Pa: 10_030 - drop_Pa,
        pressureAt_s: at_s,
        timeLeft_s: 1e5 - frame / 10,
        ask: { act: base.ask.act, say: `Hands off, frame ${frame}.` },
        hold: { ...base.hold, from_s: at_s - 100, elapsed_s: 100, drop_Pa, projected_Pa: 2 * drop_Pa } as typeof base.hold,
        gauge: { ...base.gauge, unusedBytes: frame },
      };
      const turns = frame % 20 === 0 ? [{ at_s, code: "x", text: `Turn ${frame}.`, bell: null }] : [];
      screen.update(view, turns, [{ at_s, pressure_Pa: view.pressure_Pa }]);
      clock.runUntil(clock.now_ms() + FRAME_MS);
      // ink throttles its writes by timers of its own; let them come due.
      await new Promise((resolve) => setImmediate(resolve));
    }
  };
  // Long enough for the curve kept for drawing to have reached its full size.
  await play(Math.max(2500, frames / 10));
  const before_MB = heap_MB();
  const cpu = process.cpuUsage();
  const written = sink.bytes;
  const drawn = sink.frames;
  await play(frames);
  const used = process.cpuUsage(cpu);
  const growth_MB = heap_MB() - before_MB;
  const cpu_ms = (used.user + used.system) / 1000 / frames;
  const share = cpu_ms / FRAME_MS;
  screen.close();
  const good = growth_MB <= LIMIT_MB && share <= LIMIT_SHARE;
  console.log(
    `screen ${columns}x${rows}: ${frames} frames (${sink.frames - drawn} written), heap ${before_MB.toFixed(1)} MB ${growth_MB >= 0 ? "+" : ""}${growth_MB.toFixed(2)} MB ` +
      `(limit +${LIMIT_MB}), ${cpu_ms.toFixed(2)} ms CPU a frame = ${(share * 100).toFixed(1)} % of a core at ${1000 / FRAME_MS} fps (limit ${LIMIT_SHARE * 100}), ` +
      `${Math.round((sink.bytes - written) / frames)} bytes a frame: ${good ? "ok" : "OVER"}`,
  );
  return good;
}

const frames = Number(process.argv[2] ?? 20_000);
let good = true;
for (const [columns, rows] of [
  [80, 24],
  [120, 40],
] as const)
  good = (await run(columns, rows, frames)) && good;
process.exitCode = good ? 0 : 1;
