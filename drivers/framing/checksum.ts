/**
 * Checksums at the end of a line of text, written as hexadecimal digits.
 *
 *     $WIXDR,P,1.01,B,BARO*5E      place=star: what stands between a leading $ or ! and the last *
 *      └─── covered ─────┘ └ sum
 *     +0100.2A7                    place=end: everything before the last two digits (four with crc16)
 *     └covered┘└ sum
 *
 * xor: all bytes exclusive-or'ed (as in NMEA 0183); sum: added up, the lowest eight bits; crc16: as in Modbus, high byte first.
 */
import { crc16 } from "./crc16.ts";

export const CHECKSUMS = ["none", "xor", "sum", "crc16"] as const;
export type ChecksumKind = (typeof CHECKSUMS)[number];
export const CHECKSUM_PLACES = ["star", "end"] as const;
export type ChecksumPlace = (typeof CHECKSUM_PLACES)[number];

const STAR = 0x2a;
const DOLLAR = 0x24;
const EXCLAMATION = 0x21;

/** Exclusive-or of `bytes` from `from` up to, not including, `to`. */
export function xorOf(bytes: Uint8Array, from: number, to: number): number {
  let xor = 0;
  for (let i = from; i < to; i++) xor ^= bytes[i] ?? 0;
  return xor;
}

function sumOf(bytes: Uint8Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += bytes[i] ?? 0;
  return sum & 0xff;
}

const MAKE: Readonly<Record<Exclude<ChecksumKind, "none">, (bytes: Uint8Array, from: number, to: number) => number>> = {
  xor: xorOf,
  sum: sumOf,
  crc16: crc16,
};

/** What is written in hexadecimal from `from` to `to`, which must be so many digits; `null` when it is not. */
export function hexAt(bytes: Uint8Array, from: number, to: number, digits: number): number | null {
  if (from < 0 || to - from !== digits) return null;
  let value = 0;
  for (let i = from; i < to; i++) {
    const byte = bytes[i] ?? 0;
    const digit = byte >= 0x30 && byte <= 0x39 ? byte - 0x30 : (byte | 0x20) >= 0x61 && (byte | 0x20) <= 0x66 ? (byte | 0x20) - 0x57 : -1;
    if (digit < 0) return null;
    value = value * 16 + digit;
  }
  return value;
}

/** Length of a line's bytes without blanks at its end. */
function lengthOf(bytes: Uint8Array): number {
  let length = bytes.length;
  while (length > 0 && (bytes[length - 1] ?? 0) <= 0x20) length--;
  return length;
}

/** How many bytes of a line its checksum covers up to, counted from its beginning; `null` when the checksum is wrong or missing. */
export function checkedLength(bytes: Uint8Array, kind: ChecksumKind, place: ChecksumPlace): number | null {
  if (kind === "none") return bytes.length;
  const length = lengthOf(bytes);
  const digits = kind === "crc16" ? 4 : 2;
  const mark = length - digits;
  const until = place === "star" ? mark - 1 : mark;
  if (until < 1 || (place === "star" && bytes[until] !== STAR)) return null;
  const from = place === "star" && (bytes[0] === DOLLAR || bytes[0] === EXCLAMATION) ? 1 : 0;
  return hexAt(bytes, mark, length, digits) === MAKE[kind](bytes, from, until) ? until : null;
}
