import type { Characteristic, Peripheral } from "@abandonware/noble/with-custom-binding.js";
import type { BluetoothChannels } from "../../core/driver.ts";
import { bounded } from "./bounded.ts";
import { addressOf, nameOf } from "./looking.ts";
import { ADAPTER_OFF, ENDED_HERE, lossReason } from "./lossReasons.ts";
import { type FromChild, Trouble } from "./messages.ts";

/** 15 to 30 ms between exchanges; the link lives through 4 s of somebody standing in the way. Left to itself the stack gives up after 0.42 s. */
const PARAMETERS = { minInterval: 12, maxInterval: 24, latency: 0, timeout: 400 };
const CONNECT_BOUND_ms = 10_000;
const CANCEL_BOUND_ms = 2000;
const STEP_BOUND_ms = 3000;
/** What fits into every attribute write, whatever the two sides agreed on. */
const PIECE = 20;

/** The stack writes UUIDs without leading zeros. */
const sameUuid = (one: string, other: string): boolean => one.replace(/^0+/, "") === other.replace(/^0+/, "");

/** One connection from end to end. It is used once: after a loss everything in it is dead, and what it still says is not heard. */
export class Conversation {
  readonly #peripheral: Peripheral;
  readonly #channels: BluetoothChannels;
  readonly #tell: (message: FromChild) => void;
  readonly #now_ms: () => number;
  readonly #lost: Promise<number>;
  #onLost: (reason: unknown) => void = () => {};
  #isUp = false;
  #why: string | null = null;
  #writer: Characteristic | null = null;
  #writing: Promise<void> = Promise.resolve();

  constructor(peripheral: Peripheral, channels: BluetoothChannels, tell: (message: FromChild) => void, now_ms: () => number) {
    this.#peripheral = peripheral;
    this.#channels = channels;
    this.#tell = tell;
    this.#now_ms = now_ms;
    this.#lost = new Promise((resolve) => {
      this.#onLost = (reason) => resolve(typeof reason === "number" ? reason : 0);
    });
  }

  /** Resolves when a link that was up is lost; rejects when it could not be set up. */
  async run(): Promise<void> {
    this.#peripheral.on("disconnect", this.#onLost);
    try {
      await this.#connect();
      const doubled = await this.#subscribe();
      // The stack asks for 256 and then believes whatever it is told.
      const mtu = this.#peripheral.mtu === null ? null : Math.min(this.#peripheral.mtu, 256);
      this.#isUp = true;
      this.#tell({ is: "up", at_ms: this.#now_ms(), address: addressOf(this.#peripheral), name: nameOf(this.#peripheral), mtu, doubled });
      const reason = await this.#lost;
      this.#isUp = false;
      this.#tell({ is: "down", at_ms: this.#now_ms(), reason: this.#why ?? lossReason(reason) });
    } finally {
      this.#isUp = false;
      this.#peripheral.off("disconnect", this.#onLost);
      await this.leave();
    }
  }

  /** The adapter is off: the stack does not always say that its links are gone with it. */
  adapterOff(): void {
    this.#onLost(ADAPTER_OFF);
  }

  /** Ends it as lost for this reason, whatever the stack says. */
  giveUp(why: string): void {
    this.#why = why;
    this.leave().then(() => this.#onLost(ENDED_HERE));
  }

  /** Ends the connection politely, so that the gauge can be used by others at once. */
  async leave(): Promise<void> {
    if (this.#peripheral.state === "connected")
      await bounded(CANCEL_BOUND_ms, "disconnect", this.#peripheral.disconnectAsync()).catch(() => {});
  }

  /** Writes in order; what the gauge took is told as `sent`. */
  write(bytes: Uint8Array): void {
    const writer = this.#writer;
    if (writer === null || !this.#isUp) return;
    const withoutResponse = writer.properties.includes("writeWithoutResponse");
    const put = async (): Promise<void> => {
      for (let from = 0; from < bytes.length; from += PIECE) {
        await this.#step("write", writer.writeAsync(Buffer.from(bytes.subarray(from, from + PIECE)), withoutResponse));
      }
      this.#tell({ is: "sent", at_ms: this.#now_ms(), bytes });
    };
    // A write that is not answered is for the driver to repeat.
    this.#writing = this.#writing.then(put).catch(() => {});
  }

  /** Raced with a bound and with the loss of the link: neither settles a promise of the stack. */
  #step<T>(step: string, work: Promise<T>): Promise<T> {
    const lost = this.#lost.then(() => Promise.reject(new Error(`${step}: the link was lost`)));
    return bounded(STEP_BOUND_ms, step, Promise.race([work, lost]));
  }

  async #connect(): Promise<void> {
    const peripheral = this.#peripheral;
    try {
      await bounded(CONNECT_BOUND_ms, "connection", peripheral.connectAsync(PARAMETERS));
    } catch (error) {
      if (peripheral.state !== "connecting") throw error;
      // A cancelled connection is answered twice: at once by the stack, and later by the adapter. That second answer would be taken for the
      // next attempt's, so it is waited for; and it may say that the connection was made after all.
      peripheral.cancelConnect();
      const answer = new Promise<void>((resolve) => peripheral.once("connect", () => resolve()));
      await bounded(CANCEL_BOUND_ms, "cancel", answer).catch(() => {});
      if (String(peripheral.state) !== "connected") throw error;
    }
  }

  /** Finds everything anew and listens to it; returns the UUIDs that stood there more than once, of which the last is read. */
  async #subscribe(): Promise<string[]> {
    const { services, notify, write } = this.#channels;
    const found: Characteristic[] = [];
    for (const service of await this.#step("services", this.#peripheral.discoverServicesAsync([]))) {
      if (services.length > 0 && !services.some((uuid) => sameUuid(uuid, service.uuid))) continue;
      found.push(...(await this.#step("characteristics", service.discoverCharacteristicsAsync([]))));
    }
    const doubled: string[] = [];
    for (const [place, { uuid, label }] of notify.entries()) {
      const twins = found.filter((one) => sameUuid(one.uuid, uuid) && one.properties.some((p) => p === "notify" || p === "indicate"));
      // The stack keeps characteristics by UUID: of two alike only the last can be used.
      const characteristic = twins.at(-1);
      if (twins.length > 1) doubled.push(uuid);
      if (characteristic !== undefined) await this.#listen(characteristic, label);
      else if (place === 0) throw new Trouble("bluetooth-wrong-profile", uuid);
    }
    this.#writer = found.findLast((one) => write !== undefined && sameUuid(one.uuid, write)) ?? null;
    if (write !== undefined && this.#writer === null) throw new Trouble("bluetooth-wrong-profile", write);
    return doubled;
  }

  #listen(characteristic: Characteristic, label: number): Promise<void> {
    characteristic.on("data", (bytes: Buffer, isNotification: boolean) => {
      // Time of arrival, as near to the radio as it can be had. Copied: the stack's buffer is a slice of a larger one.
      if (isNotification && this.#peripheral.state === "connected")
        this.#tell({ is: "value", at_ms: this.#now_ms(), label, bytes: new Uint8Array(bytes) });
    });
    return this.#step("subscription", characteristic.subscribeAsync());
  }
}
