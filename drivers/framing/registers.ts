/**
 * Numbers in Modbus registers. A register is two bytes, high one first (Application Protocol V1.1b3 §4.2); how a number of
 * two registers is laid out is left to the maker of the gauge, and some swap the bytes of each register as well.
 *
 *     0x40490FDB = 3.1415927    ABCD   40 49 │ 0F DB     high word first ("big")
 *                               CDAB   0F DB │ 40 49     low word first ("little")
 *                               BADC   49 40 │ DB 0F     as ABCD, bytes swapped
 *                               DCBA   DB 0F │ 49 40     as CDAB, bytes swapped
 */
export const REGISTER_TYPES = ["int16", "uint16", "int32", "uint32", "float32"] as const;
export const WORD_ORDERS = ["ABCD", "CDAB", "BADC", "DCBA", "big", "little"] as const;

export type RegisterType = (typeof REGISTER_TYPES)[number];
export type WordOrder = (typeof WORD_ORDERS)[number];

const LOW_WORD_FIRST: ReadonlySet<WordOrder> = new Set(["CDAB", "DCBA", "little"]);
const BYTES_SWAPPED: ReadonlySet<WordOrder> = new Set(["BADC", "DCBA"]);

export const registersOf = (type: RegisterType): 1 | 2 => (type === "int16" || type === "uint16" ? 1 : 2);

/** The number whose first register begins at byte `at`; NaN when `data` ends before it does, or holds IEEE 754's own. */
export function registerValue(data: Uint8Array, at: number, type: RegisterType, order: WordOrder): number {
  const size = 2 * registersOf(type);
  if (at < 0 || at + size > data.length) return Number.NaN;
  const wire = new DataView(data.buffer, data.byteOffset + at, size);
  const swapped = BYTES_SWAPPED.has(order);
  const number = new DataView(new ArrayBuffer(4));
  number.setUint16(0, wire.getUint16(0, swapped));
  if (type === "int16") return number.getInt16(0);
  if (type === "uint16") return number.getUint16(0);
  number.setUint16(2, wire.getUint16(2, swapped));
  // Both words in their places: the low one came first.
  if (LOW_WORD_FIRST.has(order)) number.setUint32(0, number.getUint16(2) * 0x10000 + number.getUint16(0));
  if (type === "int32") return number.getInt32(0);
  return type === "uint32" ? number.getUint32(0) : number.getFloat32(0);
}
