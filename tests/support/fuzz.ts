import { readdirSync } from "node:fs";
import { serialize } from "node:v8";
import type { Driver, DriverEntry, DriverEvent, Reading } from "../../src/core/driver.ts";
import { type GaugeFixture, type Happening, readGaugeFixture } from "./gaugeFixture.ts";
import { dice, inRecords, spoilt } from "./noise.ts";

const ROOM = new URL("../../fixtures/gauges/", import.meta.url).pathname;

const latin1 = (text: string): Uint8Array => Uint8Array.from(text, (letter) => letter.charCodeAt(0));
/** Products of decimal figures and factors agree to the last few bits. */
const rounded = (value: number): string => value.toPrecision(12);
const textOf = (bytes: Uint8Array): string => Buffer.from(bytes).toString("latin1");

/** One scene of a driver as something to be spoilt: its options, all it hears, and a frame that is read by itself. */
export interface Victim {
  scene: string;
  options: Record<string, string>;
  corpus: Uint8Array;
  /** What the gauge answers to what it is sent; empty for one that talks by itself. */
  replies: ReadonlyMap<string, string>;
  frame: string;
  frame_Pa: number;
}

/** What a scene hears, put together up to each outcome, with what was asked before it. */
function* exchanges(happenings: readonly Happening[]): Generator<{ asked: string | undefined; heard: string; outcome: Happening[] }> {
  let asked: string | undefined;
  let heard = "";
  for (const { at_ms, sent, received } of happenings) {
    if (sent !== undefined) asked = sent;
    heard += received ?? "";
    const outcome = happenings.filter((one) => one.at_ms === at_ms && (one.reading ?? one.identity ?? one.unused) !== undefined);
    if (received === undefined || outcome.length === 0) continue;
    yield { asked, heard, outcome };
    heard = "";
    asked = undefined;
  }
}

function victimOf(entry: DriverEntry, scene: string, { options, happenings }: GaugeFixture): Victim | null {
  const corpus = latin1(happenings.map((one) => one.received ?? "").join(""));
  const replies = new Map<string, string>();
  const frames: { frame: string; frame_Pa: number }[] = [];
  for (const { asked, heard, outcome } of exchanges(happenings)) {
    const isClean = outcome.every((one) => one.unused === undefined);
    if (isClean && asked !== undefined && !replies.has(asked)) replies.set(asked, heard);
    const [only, ...more] = outcome.flatMap((one) => (typeof one.reading?.pressure_Pa === "number" ? [one.reading.pressure_Pa] : []));
    const isAnswer = asked === undefined ? replies.size === 0 : replies.get(asked) === heard;
    if (isClean && isAnswer && only !== undefined && more.length === 0) frames.push({ frame: heard, frame_Pa: only });
  }
  // A frame must be read by itself, by a driver that has heard nothing before.
  const victims = frames.map((one): Victim => ({ scene, options, corpus, replies, ...one }));
  return victims.find((one) => new Run(entry.create(options), one, dice(1)).recover() === 1) ?? null;
}

/** The scenes of a driver that have a frame to come back to. */
export const victimsOf = (entry: DriverEntry): Victim[] =>
  readdirSync(`${ROOM}${entry.protocol}`)
    .filter((name) => name.endsWith(".jsonl"))
    .flatMap((name) => victimOf(entry, `${entry.protocol}/${name}`, readGaugeFixture(`${ROOM}${entry.protocol}/${name}`)) ?? []);

export interface Damage {
  bytes: number;
  readings: number;
  unused: number;
  /** Bursts of noise after which the driver was made to read again, and the most frames it took. */
  bursts: number;
  mostFrames: number;
  /** The largest the state ever was, serialized. */
  mostState: number;
}

const LONGEST_BURST = 1500;
const LONGEST_CHUNK = 60;
/** Beyond this a driver has lost its way. */
const MOST_FRAMES = 10;

class Run {
  readonly #driver: Driver;
  readonly #victim: Victim;
  readonly #roll: () => number;
  #state: unknown;
  #now_ms = 0;
  #wakeAt_ms: number | undefined;
  readonly damage: Damage = { bytes: 0, readings: 0, unused: 0, bursts: 0, mostFrames: 0, mostState: 0 };

  constructor(driver: Driver, victim: Victim, roll: () => number) {
    this.#driver = driver;
    this.#victim = victim;
    this.#roll = roll;
    this.#state = driver.start();
    this.#feed({ kind: "opened", at_ms: 0 });
  }

  #feed(event: DriverEvent): { readings: Reading[]; sent: string[] } {
    const { state, readings, send, unused, wakeAt_ms } = this.#driver.next(this.#state, event);
    this.#state = state;
    this.#wakeAt_ms = wakeAt_ms;
    this.damage.readings += readings.length;
    this.damage.unused += unused;
    for (const { pressure_Pa } of readings)
      if (pressure_Pa !== null && !Number.isFinite(pressure_Pa)) throw new Error(`${this.#victim.scene}: a reading of ${pressure_Pa} Pa`);
    return { readings, sent: send.map(textOf) };
  }

  /** Time passes; the driver is woken when it asked for it. */
  #pass(until_ms: number): string[] {
    const sent: string[] = [];
    while (this.#wakeAt_ms !== undefined && this.#wakeAt_ms <= until_ms) {
      this.#now_ms = Math.max(this.#now_ms, this.#wakeAt_ms);
      sent.push(...this.#feed({ kind: "wake", at_ms: this.#now_ms }).sent);
      if (sent.length > 0 && this.#victim.replies.size > 0) return sent;
    }
    this.#now_ms = until_ms;
    return sent;
  }

  burst(): void {
    const { bluetooth } = this.#driver;
    const noise = spoilt(this.#victim.corpus, this.#roll, 1 + Math.floor(this.#roll() * LONGEST_BURST));
    // Raw noise as well, but then the link begins anew: it cannot happen while records are made by our own process.
    const raw = bluetooth !== undefined && this.#roll() < 0.2;
    const labels = bluetooth?.notify.map((one) => one.label) ?? [];
    const bytes = bluetooth === undefined || raw ? noise : inRecords(noise, labels, this.#roll);
    for (let from = 0; from < bytes.length; ) {
      const size = 1 + Math.floor(this.#roll() * LONGEST_CHUNK);
      this.#pass(this.#now_ms + Math.floor(this.#roll() * 20));
      this.#feed({ kind: "bytes", at_ms: this.#now_ms, bytes: bytes.slice(from, from + size) });
      from += size;
    }
    this.damage.bytes += bytes.length;
    this.damage.mostState = Math.max(this.damage.mostState, serialize(this.#state).length);
    if (raw) this.#feed({ kind: "opened", at_ms: this.#now_ms });
    this.damage.bursts++;
    this.damage.mostFrames = Math.max(this.damage.mostFrames, this.recover());
    if (this.damage.mostFrames > MOST_FRAMES)
      throw new Error(`${this.#victim.scene}: not read again after ${this.damage.bytes} bytes of noise`);
  }

  /** Whole frames again, until one is read for what it says; how many that took. */
  recover(): number {
    const { frame, frame_Pa, replies } = this.#victim;
    const isRight = ({ readings }: { readings: Reading[] }) =>
      readings.some((one) => one.pressure_Pa !== null && rounded(one.pressure_Pa) === rounded(frame_Pa));
    for (let frames = 1, steps = 0; frames <= MOST_FRAMES && steps < 200; steps++) {
      const sent = this.#pass(this.#now_ms + 200);
      const said = replies.size === 0 ? [frame] : sent.flatMap((one) => replies.get(one) ?? []);
      for (const text of said) {
        this.#now_ms += 5;
        const heard = this.#feed({ kind: "bytes", at_ms: this.#now_ms, bytes: latin1(text) });
        if (isRight(heard)) return frames;
        if (text === frame) frames++;
      }
    }
    return Number.POSITIVE_INFINITY;
  }
}

/** Lets noise loose on a driver until it has had `bytes` of it. Throws when the driver throws, or does not read again. */
export function spoil(entry: DriverEntry, victim: Victim, bytes: number, seed: number): Damage {
  const run = new Run(entry.create(victim.options), victim, dice(seed));
  while (run.damage.bytes < bytes) run.burst();
  return run.damage;
}
