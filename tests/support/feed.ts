import fc from "fast-check";
import type { Driver, Reading } from "../../src/core/driver.ts";

/** Cuts `bytes` after each of the places, given as fractions of their length. */
export function chopped(bytes: Uint8Array, cuts: readonly number[]): Uint8Array[] {
  const places = [...cuts.map((cut) => Math.floor(cut * bytes.length)), 0, bytes.length].sort((a, b) => a - b);
  return places.slice(1).map((place, i) => bytes.subarray(places[i], place));
}

export const anyCuts = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 12 });

/** A wire's worth of bytes: mostly what gauges send, some of what they do not. */
export const wireBytes = (words: readonly string[]) =>
  fc
    .array(
      fc.oneof({ weight: 4, arbitrary: fc.constantFrom(...words, "\r", "\n", "\r\n") }, fc.string({ unit: "binary-ascii", maxLength: 6 })),
      { maxLength: 40 },
    )
    .map((parts) => Uint8Array.from(parts.join(""), (letter) => letter.charCodeAt(0) ^ (letter === "\u007f" ? 0x80 : 0)));

/** All that a driver makes of chunks that arrive at one instant, and what it still holds when the port is reopened. */
export function heardBy(
  driver: Driver,
  chunks: readonly Uint8Array[],
): { readings: Reading[]; unused: number; identity: string[]; sent: number } {
  const heard = { readings: [] as Reading[], unused: 0, identity: [] as string[], sent: 0 };
  const opened = { kind: "opened", at_ms: 0 } as const;
  const events = [opened, ...chunks.map((bytes) => ({ kind: "bytes", at_ms: 5, bytes }) as const), { kind: "opened", at_ms: 5 } as const];
  let state = driver.start();
  for (const event of events) {
    const step = driver.next(state, event);
    state = step.state;
    heard.readings.push(...step.readings);
    heard.unused += step.unused;
    heard.sent += step.send.length;
    if (step.identity !== undefined) heard.identity.push(step.identity);
  }
  return heard;
}
