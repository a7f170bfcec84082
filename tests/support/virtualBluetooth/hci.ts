/** Packets between a host and its controller: Bluetooth Core 5.4, Vol 4 Part E §5.4, with the type byte of Part A in front. */
export const PACKET = { command: 1, acl: 2, event: 4 } as const;

/** Error codes of Vol 1 Part F §1.3 that the virtual controller gives. */
export const STATUS = {
  success: 0x00,
  unknownCommand: 0x01,
  unknownConnection: 0x02,
  timeout: 0x08,
  connectionExists: 0x0b,
  disallowed: 0x0c,
  invalidParameters: 0x12,
  remoteEnded: 0x13,
  localEnded: 0x16,
} as const;

export const u16 = (value: number): number[] => [value & 0xff, (value >> 8) & 0xff];
export const addressBytes = (text: string): number[] => [...Buffer.from(text.replaceAll(":", ""), "hex")].reverse();
export const addressText = (bytes: Uint8Array): string =>
  [...bytes]
    .reverse()
    .map((byte) => byte.toString(16).padStart(2, "0"))
    .join(":");

export const eventPacket = (code: number, params: readonly number[]): Buffer => Buffer.from([PACKET.event, code, params.length, ...params]);
export const commandComplete = (opcode: number, params: readonly number[]): Buffer => eventPacket(0x0e, [1, ...u16(opcode), ...params]);
export const commandStatus = (opcode: number, status: number): Buffer => eventPacket(0x0f, [status, 1, ...u16(opcode)]);
export const leEvent = (sub: number, params: readonly number[]): Buffer => eventPacket(0x3e, [sub, ...params]);

/** Length of the packet that `bytes` begin with; `null` while too little is there to tell. */
function packetLength(bytes: Buffer): number | null {
  const [type] = bytes;
  if (type === PACKET.command) return bytes.length < 4 ? null : 4 + bytes.readUInt8(3);
  if (type === PACKET.event) return bytes.length < 3 ? null : 3 + bytes.readUInt8(2);
  return bytes.length < 5 ? null : 5 + bytes.readUInt16LE(3);
}

/** Cuts a stream into packets. */
export function packetCutter(take: (packet: Buffer) => void): (chunk: Buffer) => void {
  let held = Buffer.alloc(0);
  return (chunk) => {
    held = Buffer.concat([held, chunk]);
    for (let length = packetLength(held); length !== null && length <= held.length; length = packetLength(held)) {
      take(held.subarray(0, length));
      held = held.subarray(length);
    }
  };
}
