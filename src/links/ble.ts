/**
 * A Bluetooth Low Energy gauge as a link. Its values come as records; what a record looks like is drawn in drivers/framing/records.ts.
 *
 *     ble://C0:00:00:00:00:02?profile=ess
 *     child: search, connect, subscribe ─ up ─► link-up + the address as a record, so that the driver can name the gauge
 *                                       ─ value ─► bytes-in: label, length, value
 *                                       ─ nothing for long ─► again
 *                                       ─ down ─► link-down; the child goes on searching by itself
 *     child ended by itself (the adapter went off, the stack fell over): started anew until it works again
 */
import type { BluetoothChannels } from "../core/driver.ts";
import type { JournalBody } from "../core/journal.ts";
import type { Clock, Link, LinkSink, OpenLink } from "../core/link.ts";
import { BluetoothChild, type BluetoothChildOptions } from "./bluetooth/childProcess.ts";
import type { BluetoothTarget, FromChild } from "./bluetooth/messages.ts";
import { bluetoothTrouble } from "./bluetooth/trouble.ts";

export interface BleOptions extends BluetoothChildOptions {
  target: BluetoothTarget;
  /** As the gauge's address says it, for people. */
  describe: string;
  channels: BluetoothChannels;
}

const FIRST_PAUSE_ms = 250;
const LONGEST_PAUSE_ms = 2000;
const LONGEST_VALUE = 255;
/** Longer than gauges pause that tell only what has changed, and then connected anew: some keep the link and say no more. */
const SILENCE_ms = 15_000;

/** Starts nothing until `open`. */
export const bleLink = (options: BleOptions): Link => ({
  clock: options.clock,
  source: "gauge",
  describe: options.describe,
  open: (sink) => new BleLine(options, sink),
});

/** A value as records of a label, a length and bytes. */
export function valueRecords(label: number, value: Uint8Array): Uint8Array {
  const bytes: number[] = [];
  for (let from = 0; from === 0 || from < value.length; from += LONGEST_VALUE) {
    const part = value.subarray(from, from + LONGEST_VALUE);
    bytes.push(label & 0xff, label >> 8, part.length, ...part);
  }
  return Uint8Array.from(bytes);
}

class BleLine implements OpenLink {
  readonly #options: BleOptions;
  readonly #clock: Clock;
  readonly #sink: LinkSink;
  #child: BluetoothChild;
  #isUp = false;
  #everUp = false;
  #heard_ms = 0;
  #closing: Promise<void> | null = null;
  #pause_ms = FIRST_PAUSE_ms;
  #cancelTimer: () => void = () => {};

  constructor(options: BleOptions, sink: LinkSink) {
    this.#options = options;
    this.#clock = options.clock;
    this.#sink = sink;
    this.#child = this.#start();
  }

  send(bytes: Uint8Array): void {
    // While the link is down nothing is kept: the driver asks anew when it is up again.
    if (this.#isUp) this.#child.send({ do: "write", bytes });
  }

  close(): Promise<void> {
    this.#cancelTimer();
    this.#closing ??= this.#child.end();
    return this.#closing;
  }

  #start(): BluetoothChild {
    const child = new BluetoothChild(this.#options, {
      message: (message) => this.#closing === null && this.#heard(message),
      gone: (how) => this.#closing === null && this.#gone(how),
    });
    child.send({ do: "watch", target: this.#options.target, channels: this.#options.channels });
    return child;
  }

  #heard(message: FromChild): void {
    if (message.is === "up") this.#up(message);
    else if (message.is === "value") {
      this.#heard_ms = this.#clock.now_ms();
      this.#emit(message.at_ms, { kind: "bytes-in", bytes: valueRecords(message.label, message.bytes) });
    } else if (message.is === "sent") this.#emit(message.at_ms, { kind: "bytes-sent", bytes: message.bytes });
    else if (message.is === "down") {
      this.#isUp = false;
      this.#cancelTimer();
      this.#emit(message.at_ms, { kind: "link-down", reason: message.reason });
    } else if (message.is === "trouble" && !this.#everUp) this.#sink.fail(bluetoothTrouble(message.code, message.detail));
  }

  #up({ at_ms, address, name, mtu, doubled }: Extract<FromChild, { is: "up" }>): void {
    this.#isUp = true;
    this.#everUp = true;
    this.#pause_ms = FIRST_PAUSE_ms;
    const called = name === null ? "" : ` ${JSON.stringify(name)}`;
    const twice = doubled.length === 0 ? "" : `, more than one ${doubled.join(", ").toUpperCase()}: the last is read`;
    this.#emit(at_ms, { kind: "link-up", detail: `Bluetooth gauge${called} at ${address}${mtu === null ? "" : `, MTU ${mtu}`}${twice}` });
    this.#emit(at_ms, { kind: "bytes-in", bytes: valueRecords(0, new TextEncoder().encode(address)) });
    this.#heard_ms = this.#clock.now_ms();
    this.#watch();
  }

  /** One timer a silence, not one a value: when it comes due it looks how long the silence really is. */
  #watch(): void {
    this.#cancelTimer();
    this.#cancelTimer = this.#clock.at(this.#heard_ms + SILENCE_ms, () => {
      const silent_ms = this.#clock.now_ms() - this.#heard_ms;
      if (silent_ms < SILENCE_ms) this.#watch();
      else this.#child.send({ do: "again", why: `Nothing has come from the gauge for ${(silent_ms / 1000).toFixed(1)} s.` });
    });
  }

  /** Before a gauge was ever connected it is a failure; later a process that fell over must not end a test. */
  #gone(how: string): void {
    if (!this.#everUp) return this.#sink.fail(bluetoothTrouble("bluetooth-failed", how));
    if (this.#isUp) this.#emitNow({ kind: "link-down", reason: `The Bluetooth part stopped: ${how}.` });
    this.#isUp = false;
    this.#cancelTimer = this.#clock.at(this.#clock.now_ms() + this.#pause_ms, () => {
      this.#child = this.#start();
    });
    this.#pause_ms = Math.min(this.#pause_ms * 2, LONGEST_PAUSE_ms);
  }

  #emit(child_ms: number, body: JournalBody): void {
    const at_ms = this.#child.at_ms(child_ms);
    this.#sink.event({ ...body, at_ms, wall_ms: this.#clock.wall_ms() - (this.#clock.now_ms() - at_ms) });
  }

  #emitNow(body: JournalBody): void {
    this.#sink.event({ ...body, at_ms: this.#clock.now_ms(), wall_ms: this.#clock.wall_ms() });
  }
}
