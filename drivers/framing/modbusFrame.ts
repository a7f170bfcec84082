/**
 * Modbus RTU frames for reading registers, as the asking side sees them.
 *
 *     question   ┌───────┬────┬──────────┬───────────┬────────┐   8 bytes
 *                │address│ fn │ register │ how many  │ CRC    │   fn 3 holding, 4 input registers
 *                │ 1-247 │    │ hi    lo │ hi     lo │ lo  hi │   (Application Protocol V1.1b3 §6.3, §6.4)
 *                └───────┴────┴──────────┴───────────┴────────┘
 *     answer     ┌───────┬────┬─────┬───────────────┬────────┐    5 + 2n bytes, known from the question
 *                │address│ fn │ 2n  │ n registers,  │ CRC    │
 *                │       │    │     │ hi lo each    │ lo  hi │    (registers: V1.1b3 §4.2, big-endian)
 *                └───────┴────┴─────┴───────────────┴────────┘
 *     exception  │address│ fn + 0x80 │ code │ CRC lo hi │         5 bytes (V1.1b3 §7)
 *
 * On a line frames are parted by 3.5 characters of silence (MODBUS over Serial Line V1.02 §2.5.1.1). USB adapters and
 * operating systems blur such gaps, so an answer is found by address, function, length and CRC instead: where no frame
 * can begin, or its CRC is wrong, one byte is passed over and the search goes on behind it. An echo of the question, as
 * two-wire adapters give, is passed over the same way.
 */
import { crc16, withCrc16 } from "./crc16.ts";

export interface Question {
  /** 1 to 247 (V1.02 §2.2: 0 is for all, 248 to 255 are reserved). */
  address: number;
  fn: 3 | 4;
  /** As sent, counted from 0. */
  register: number;
  /** 1 to 125 registers (V1.1b3 §6.3). */
  count: number;
}

export type Answer = { kind: "registers"; data: Uint8Array } | { kind: "exception"; code: number };

export const MOST_REGISTERS = 125;
const EXCEPTION = 0x80;
const EXCEPTION_SIZE = 5;

export function questionFrame({ address, fn, register, count }: Question): Uint8Array {
  return withCrc16([address, fn, register >> 8, register & 0xff, count >> 8, count & 0xff]);
}

/** Size of the frame that may begin at `from`, as far as can be told; 0 when none does. */
function frameSize(bytes: Uint8Array, from: number, { address, fn, count }: Question): number {
  if (bytes[from] !== address) return 0;
  const heard = bytes[from + 1];
  if (heard === undefined || heard === (fn | EXCEPTION)) return EXCEPTION_SIZE;
  if (heard !== fn) return 0;
  const told = bytes[from + 2];
  return told === undefined || told === 2 * count ? 5 + 2 * count : 0;
}

export interface CutAnswer {
  answer: Answer | null;
  /** Bytes passed over in front of the answer, or of what may become one. */
  unused: number;
  /** What stands behind the answer; without one, the beginning of one. */
  rest: Uint8Array;
}

/** Finds the first answer to `question` in `bytes`. The same bytes give the same answer in any chunking. */
export function cutAnswer(bytes: Uint8Array, question: Question): CutAnswer {
  for (let from = 0; from < bytes.length; from++) {
    const size = frameSize(bytes, from, question);
    if (size === 0) continue;
    if (from + size > bytes.length) return { answer: null, unused: from, rest: bytes.subarray(from) };
    if (crc16(bytes, from, from + size) !== 0) continue;
    const frame = bytes.subarray(from, from + size);
    const answer: Answer =
      frame[1] === question.fn ? { kind: "registers", data: frame.subarray(3, size - 2) } : { kind: "exception", code: frame[2] ?? 0 };
    return { answer, unused: from, rest: bytes.subarray(from + size) };
  }
  return { answer: null, unused: bytes.length, rest: bytes.subarray(bytes.length) };
}

/** Application Protocol V1.1b3 §7, in our status words. */
const EXCEPTIONS: Readonly<Record<number, string>> = {
  1: "illegal-function",
  2: "illegal-data-address",
  3: "illegal-data-value",
  4: "device-failure",
  5: "acknowledge",
  6: "device-busy",
  8: "memory-parity-error",
  10: "gateway-path-unavailable",
  11: "gateway-target-silent",
};

export const exceptionName = (code: number): string => EXCEPTIONS[code] ?? `exception-${code}`;
