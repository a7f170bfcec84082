/** What a gauge was heard to say, before anything is known of it: is it text, where do lines end, how often do they come. */
import { crc16 } from "./crc16.ts";
import { cutLines, type Line, noBytes, type Terminator } from "./lines.ts";

/** Bytes as they came, with the stamp of their arrival. */
export interface HeardChunk {
  at_ms: number;
  bytes: Uint8Array;
}

export interface HeardLine extends Line {
  at_ms: number;
}

const LONGEST_LINE = 256;
/** More lines than this teach nothing new. */
const LINES_STUDIED = 400;
/** A gap this long parts two frames, also at 1200 baud. */
const FRAME_GAP_ms = 20;
/** Shorter frames than an exception of five bytes Modbus has none. */
const SHORTEST_FRAME = 5;
const CR = 13;
const LF = 10;

export function joined(chunks: readonly HeardChunk[]): Uint8Array {
  const all = new Uint8Array(chunks.reduce((sum, one) => sum + one.bytes.length, 0));
  let at = 0;
  for (const { bytes } of chunks) {
    all.set(bytes, at);
    at += bytes.length;
  }
  return all;
}

/** Printable ASCII, tab, line ends and the degree sign. */
const isText = (byte: number): boolean => (byte >= 0x20 && byte <= 0x7e) || byte === 9 || byte === LF || byte === CR || byte === 0xb0;

/** Share of the bytes that text is made of, 0 to 1. */
export const shareOfText = (bytes: Uint8Array): number => (bytes.length === 0 ? 0 : bytes.filter(isText).length / bytes.length);

/** True when a burst ends with the CRC of its other bytes: somebody asks a Modbus gauge and it answers. */
export function looksModbus(chunks: readonly HeardChunk[]): boolean {
  const bursts: HeardChunk[][] = [];
  for (const chunk of chunks) {
    const burst = bursts.at(-1);
    const last = burst?.at(-1);
    if (burst !== undefined && last !== undefined && chunk.at_ms - last.at_ms < FRAME_GAP_ms) burst.push(chunk);
    else bursts.push([chunk]);
  }
  return bursts.some((burst) => {
    const bytes = joined(burst);
    // Over a frame with its own CRC at the end the CRC is 0.
    return bytes.length >= SHORTEST_FRAME && crc16(bytes, 0, bytes.length) === 0;
  });
}

/** Which line end the bytes show, and a sentence on it; `null` when none. */
export function terminatorOf(bytes: Uint8Array): { terminator: Terminator; why: string } | null {
  let [cr, lf, crlf] = [0, 0, 0];
  for (let i = 0; i < bytes.length; i++) {
    if (bytes[i] === CR) cr++;
    if (bytes[i] === LF) lf++;
    if (bytes[i] === LF && bytes[i - 1] === CR) crlf++;
  }
  if (cr + lf === 0) return null;
  if (cr === 0) return { terminator: "lf", why: "Lines end with LF." };
  if (lf === 0) return { terminator: "cr", why: "Lines end with CR." };
  // Listening may begin or end between the two.
  return crlf >= Math.max(cr, lf) - 1
    ? { terminator: "crlf", why: "Lines end with CR LF." }
    : { terminator: "any", why: "Some lines end with CR, some with LF." };
}

/** Complete lines that are not blank, without the first when there are more: it may have begun before anybody listened. */
export function linesHeard(chunks: readonly HeardChunk[], terminator: Terminator): HeardLine[] {
  const lines: HeardLine[] = [];
  let held = noBytes;
  for (const { at_ms, bytes } of chunks) {
    const cut = cutLines(held, bytes, terminator, LONGEST_LINE);
    held = cut.held;
    for (const one of cut.lines) if (one.text.trim() !== "") lines.push({ ...one, bytes: one.bytes.slice(), at_ms });
  }
  return lines.length > 2 ? lines.slice(1).slice(-LINES_STUDIED) : lines;
}

/** Lines a second; `null` when too few came. */
export function rateOf(lines: readonly HeardLine[]): number | null {
  const [first, last] = [lines[0], lines.at(-1)];
  const time_ms = first === undefined || last === undefined ? 0 : last.at_ms - first.at_ms;
  return time_ms > 0 ? (1000 * (lines.length - 1)) / time_ms : null;
}
