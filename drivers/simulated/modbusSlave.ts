/**
 * The simulated gauge as Modbus RTU slave 1: its pressure as a float32, high word first, in registers 0 and 1, holding or
 * input alike. A question waits for the gauge's next sample; what cannot be answered is refused at once. Frames are drawn in
 * drivers/framing/modbusFrame.ts; reasons of refusal are those of MODBUS Application Protocol V1.1b3 §7.
 */
import { crc16, withCrc16 } from "../framing/crc16.ts";
import { MOST_REGISTERS } from "../framing/modbusFrame.ts";

const ADDRESS = 1;
const REGISTERS = 2;
const QUESTION_SIZE = 8;
const ILLEGAL_FUNCTION = 1;
const ILLEGAL_ADDRESS = 2;
const ILLEGAL_VALUE = 3;

/** Driver options that read this slave; asked twice a sample, so that none is missed. */
export const modbusOptions = (pace: { interval: string; timeout: string }): Record<string, string> => ({
  address: String(ADDRESS),
  function: "4",
  register: "0",
  type: "float32",
  unit: "Pa",
  ...pace,
});

const toBytes = (text: string): Uint8Array => Uint8Array.from(text, (letter) => letter.charCodeAt(0));
const toText = (bytes: Uint8Array): string => String.fromCharCode(...bytes);
const wordAt = (bytes: Uint8Array, at: number): number => ((bytes[at] ?? 0) << 8) | (bytes[at + 1] ?? 0);

/** The newest whole question to us, `null` when there is none. */
function newestQuestion(bytes: Uint8Array): Uint8Array | null {
  for (let from = bytes.length - QUESTION_SIZE; from >= 0; from--)
    if (bytes[from] === ADDRESS && crc16(bytes, from, from + QUESTION_SIZE) === 0) return bytes.subarray(from, from + QUESTION_SIZE);
  return null;
}

/** Why a question cannot be answered, as an exception code; 0 when it can. */
function refusalOf(question: Uint8Array): number {
  if (question[1] !== 3 && question[1] !== 4) return ILLEGAL_FUNCTION;
  const count = wordAt(question, 4);
  if (count < 1 || count > MOST_REGISTERS) return ILLEGAL_VALUE;
  return wordAt(question, 2) + count > REGISTERS ? ILLEGAL_ADDRESS : 0;
}

/** Takes bytes in. `held` is one character a byte: the question that waits when `waiting` is 1, else the beginning of one. */
export function hearModbus(
  before: { held: string; waiting: number },
  bytes: Uint8Array,
): { held: string; waiting: number; said: Uint8Array | null } {
  const all = toBytes((before.waiting > 0 ? "" : before.held) + toText(bytes.subarray(-4 * QUESTION_SIZE)));
  const question = newestQuestion(all);
  if (question === null) {
    // A question that waits is not forgotten because noise follows it.
    if (before.waiting > 0) return { ...before, said: null };
    return { held: toText(all.subarray(-(QUESTION_SIZE - 1))), waiting: 0, said: null };
  }
  const refusal = refusalOf(question);
  if (refusal === 0) return { held: toText(question), waiting: 1, said: null };
  return { held: "", waiting: 0, said: withCrc16([ADDRESS, (question[1] ?? 0) | 0x80, refusal]) };
}

/** The answer to the question held, with `figure` in the registers. */
export function answerModbus(held: string, figure: number): Uint8Array {
  const question = toBytes(held);
  const registers = new DataView(new ArrayBuffer(2 * REGISTERS));
  registers.setFloat32(0, figure);
  const first = 2 * wordAt(question, 2);
  const size = 2 * wordAt(question, 4);
  const data = Array.from({ length: size }, (_, i) => registers.getUint8(first + i));
  return withCrc16([ADDRESS, question[1] ?? 0, size, ...data]);
}
