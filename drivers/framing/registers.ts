/**
 * Numbers in Modbus registers. A register is two bytes, high one first (Application Protocol V1.1b3 §4.2); how a number of
 * two registers is laid out is left to the maker of the gauge.
 *
 *     0x40490FDB = 3.1415927    ABCD   40 49 │ 0F DB     high word first ("big")
 *                               CDAB   0F DB │ 40 49     low word first ("little")
 */
export const REGISTER_TYPES = ["int16", "uint16", "int32", "uint32", "float32"] as const;
export const WORD_ORDERS = ["ABCD", "CDAB", "big", "little"] as const;

export type RegisterType = (typeof REGISTER_TYPES)[number];
export type WordOrder = (typeof WORD_ORDERS)[number];

export const registersOf = (type: RegisterType): 1 | 2 => (type === "int16" || type === "uint16" ? 1 : 2);

/** The number whose first register begins at byte `at`; NaN when `data` ends before it does, or holds IEEE 754's own. */
export function registerValue(data: Uint8Array, at: number, type: RegisterType, order: WordOrder): number {
  const size = 2 * registersOf(type);
  if (at < 0 || at + size > data.length) return Number.NaN;
  const view = new DataView(data.buffer, data.byteOffset + at, size);
  if (type === "int16") return view.getInt16(0);
  if (type === "uint16") return view.getUint16(0);
  const lowFirst = order === "CDAB" || order === "little";
  const bits = view.getUint16(lowFirst ? 2 : 0) * 0x10000 + view.getUint16(lowFirst ? 0 : 2);
  if (type === "uint32") return bits;
  const whole = new DataView(new ArrayBuffer(4));
  whole.setUint32(0, bits);
  return type === "int32" ? whole.getInt32(0) : whole.getFloat32(0);
}
