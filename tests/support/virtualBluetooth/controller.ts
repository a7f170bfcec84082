import type { Air } from "./air.ts";
import { COMMANDS } from "./commands.ts";
import { addressBytes, commandComplete, eventPacket, leEvent, PACKET, STATUS, u16 } from "./hci.ts";
import { type LinkParameters, RadioLink } from "./radioLink.ts";

const ACL_LENGTH = 27;
const ACL_BUFFERS = 8;

/** What a host has set and asked; a reset clears it. */
const fresh = () => ({
  randomAddress: null as string | null,
  advertising: { isOn: false, interval: 0x100, type: 0, ownType: 0, data: [] as number[], response: [] as number[] },
  scanning: { isOn: false, isActive: false, filtersDuplicates: false, seen: new Set<string>() },
  initiating: null as { address: string; type: number; parameters: LinkParameters } | null,
});

/** A Low Energy controller without a radio: commands and data from its host in, events and data out, all of them real HCI packets. */
export class Controller {
  readonly air: Air;
  readonly address: string;
  readonly aclLength = ACL_LENGTH;
  readonly aclBuffers = ACL_BUFFERS;
  /** HCI version as assigned numbers have it: 9 is 5.0, below 6 there is no Low Energy. */
  readonly version: number;
  /** Where packets for the host go. */
  toHost: (packet: Buffer) => void = () => {};
  isUp = true;
  isAway = false;
  rssi_dBm = -60;
  inFlight = 0;
  host = fresh();
  readonly links = new Map<number, RadioLink>();
  readonly unknown = new Set<string>();
  #lastHandle = 0x3f;

  constructor(air: Air, address: string, version = 9) {
    this.air = air;
    this.address = address;
    this.version = version;
    air.controllers.add(this);
  }

  reset(): void {
    for (const link of [...this.links.values()]) link.drop(STATUS.timeout, STATUS.timeout);
    this.host = fresh();
    this.inFlight = 0;
  }

  /** Off: its host hears nothing more, and its peers only that it is no longer heard. */
  power(isOn: boolean): void {
    this.isUp = isOn;
    this.host = fresh();
    this.inFlight = 0;
    const links = [...this.links.values()];
    this.links.clear();
    for (const link of links) link.forgotten();
  }

  newHandle(link: RadioLink): number {
    this.links.set(++this.#lastHandle, link);
    return this.#lastHandle;
  }

  ownAddress(type: number): string {
    return type === 1 && this.host.randomAddress !== null ? this.host.randomAddress : this.address;
  }

  fromHost(packet: Buffer): void {
    if (!this.isUp) return;
    if (packet[0] === PACKET.command) this.#command(packet.readUInt16LE(1), packet.subarray(4), packet.readUInt8(3));
    else if (packet[0] === PACKET.acl) this.#data(packet.readUInt16LE(1), packet.subarray(5), packet.readUInt16LE(3));
    else this.#violation(`packet of type ${packet[0]}`);
  }

  /** ACL data off the air: what was sent as "first" (00) arrives as "start" (10), Vol 4 Part E §5.4.2. */
  receive(handle: number, isFirst: boolean, payload: Buffer): void {
    if (this.isUp && this.links.has(handle))
      this.toHost(Buffer.from([PACKET.acl, ...u16(handle | ((isFirst ? 2 : 1) << 12)), ...u16(payload.length), ...payload]));
  }

  linkGone(handle: number, unsent: number, reason: number): void {
    if (!this.links.delete(handle)) return;
    this.inFlight -= unsent;
    if (this.isUp) this.toHost(eventPacket(0x05, [STATUS.success, ...u16(handle), reason]));
  }

  /** Advertises until told otherwise: at the interval and up to 10 ms, Vol 6 Part B §4.4.2.2. */
  advertise(): void {
    const { host } = this;
    this.air.after(host.advertising.interval * 0.625 + this.air.random() * 10, () => {
      if (!this.isUp || this.host !== host || !host.advertising.isOn) return;
      for (const other of this.air.controllers) if (host.advertising.isOn && this.air.hear(this, other)) this.#heardBy(other);
      if (host.advertising.isOn) this.advertise();
    });
  }

  #heardBy(other: Controller): void {
    const { type, ownType, data, response } = this.host.advertising;
    const own = this.ownAddress(ownType);
    const { scanning, initiating } = other.host;
    if (scanning.isOn) {
      other.#report(type, ownType, own, data, this.rssi_dBm);
      if (scanning.isActive && type !== 3) other.#report(4, ownType, own, response, this.rssi_dBm);
    }
    if (initiating?.address === own && initiating.type === ownType && type === 0) this.#connect(other, own, ownType, initiating.parameters);
  }

  #connect(central: Controller, own: string, ownType: number, parameters: LinkParameters): void {
    central.host.initiating = null;
    this.host.advertising.isOn = false;
    const link = new RadioLink(this.air, central, this, parameters);
    const agreed = [...u16(parameters.interval), ...u16(parameters.latency), ...u16(parameters.timeout), 0];
    const peers = [
      { end: link.central, role: 0, peer: [ownType, ...addressBytes(own)] },
      { end: link.peripheral, role: 1, peer: [0, ...addressBytes(central.address)] },
    ];
    for (const { end, role, peer } of peers)
      end.controller.toHost(leEvent(0x01, [STATUS.success, ...u16(end.handle), role, ...peer, ...agreed]));
  }

  #report(type: number, addressType: number, address: string, data: readonly number[], rssi_dBm: number): void {
    const { scanning } = this.host;
    const key = `${type} ${address}`;
    if (scanning.filtersDuplicates && scanning.seen.has(key)) return;
    scanning.seen.add(key);
    this.toHost(leEvent(0x02, [1, type, addressType, ...addressBytes(address), data.length, ...data, rssi_dBm & 0xff]));
  }

  #command(opcode: number, params: Buffer, length: number): void {
    if (params.length !== length) this.#violation(`command 0x${opcode.toString(16)} of ${params.length} bytes says ${length}`);
    const run = COMMANDS[opcode];
    if (run !== undefined) return run(this, params, opcode);
    this.unknown.add(`0x${opcode.toString(16)}`);
    this.toHost(commandComplete(opcode, [STATUS.unknownCommand]));
  }

  #data(word: number, payload: Buffer, length: number): void {
    const link = this.links.get(word & 0xfff);
    if (payload.length !== length) this.#violation(`data of ${payload.length} bytes says ${length}`);
    if (payload.length > this.aclLength) this.#violation(`data of ${payload.length} bytes for buffers of ${this.aclLength}`);
    // Data may cross a disconnection on its way.
    if (link === undefined) return;
    if (++this.inFlight > this.aclBuffers) this.#violation(`${this.inFlight} packets for ${this.aclBuffers} buffers`);
    link.put(this, ((word >> 12) & 3) !== 1, Buffer.from(payload));
  }

  #violation(what: string): void {
    this.air.violations.push(`${this.address}: ${what}`);
  }
}
