/**
 * The check of Modbus RTU frames: CRC-16 with the generating polynomial 1 + x² + x¹⁵ + x¹⁶, bits taken lowest first
 * (0xA001), register loaded with 0xFFFF, no final inversion. On the wire the low byte comes first. MODBUS over Serial Line
 * Specification V1.02 §2.5.1.2 and its appendix on CRC generation.
 */
const POLYNOMIAL = 0xa001;

const TABLE = Uint16Array.from({ length: 256 }, (_, byte) => {
  let crc = byte;
  for (let bit = 0; bit < 8; bit++) crc = (crc & 1) === 1 ? (crc >> 1) ^ POLYNOMIAL : crc >> 1;
  return crc;
});

/** CRC of `bytes` from `from` up to `to`. Over a frame with its own CRC at the end it is 0. */
export function crc16(bytes: Uint8Array, from = 0, to = bytes.length): number {
  let crc = 0xffff;
  for (let i = from; i < to; i++) crc = (crc >> 8) ^ (TABLE[(crc ^ (bytes[i] ?? 0)) & 0xff] ?? 0);
  return crc;
}

/** `body` with its CRC behind it, low byte first. */
export function withCrc16(body: readonly number[]): Uint8Array {
  const frame = new Uint8Array(body.length + 2);
  frame.set(body);
  const crc = crc16(frame, 0, body.length);
  frame[body.length] = crc & 0xff;
  frame[body.length + 1] = crc >> 8;
  return frame;
}
