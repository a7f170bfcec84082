import { EventEmitter } from "node:events";
import bleHost, { type Characteristic, type Connection, type Manager } from "ble-host";
import { Watched } from "../until.ts";
import type { Air } from "./air.ts";
import { Controller } from "./controller.ts";

export interface GaugeParts {
  address: string;
  /** As raw bytes of the advertisement; at most 29 of them. */
  name: string;
  services: { uuid: string; characteristics: { uuid: string; properties: string[] }[] }[];
}

const short = (digits: string): string => `0000${digits}-0000-1000-8000-00805f9b34fb`;

/** Pressure, temperature twice (the standard allows it) and battery. */
export const ESS: GaugeParts["services"] = [
  { uuid: short("181a"), characteristics: ["2a6d", "2a6e", "2a6e"].map((uuid) => ({ uuid: short(uuid), properties: ["read", "notify"] })) },
  { uuid: short("180f"), characteristics: [{ uuid: short("2a19"), properties: ["read", "notify"] }] },
];

/** One item of an advertisement: Core Specification Supplement, Part A. */
const item = (type: number, bytes: Uint8Array): number[] => [bytes.length + 1, type, ...bytes];

/** A gauge made of an independent, unmodified peripheral stack on a virtual controller. */
export class VirtualGauge {
  readonly controller: Controller;
  /** Values that a subscribed host was given, in order. */
  readonly handedOver: Buffer[] = [];
  readonly written: string[] = [];
  connections = 0;
  readonly watched = new Watched();
  readonly #characteristics: Characteristic[];
  #connection: Connection | null = null;
  readonly #subscribed = new Set<string>();

  constructor(air: Air, { address, name, services }: GaugeParts) {
    this.controller = new Controller(air, address);
    const made = services.map(({ uuid, characteristics }) => ({
      uuid,
      characteristics: characteristics.map((one) => this.#characteristic(one)),
    }));
    this.#characteristics = made.flatMap(({ characteristics }) => characteristics);
    const transport = Object.assign(new EventEmitter(), {
      write: (packet: Buffer) => setImmediate(() => this.controller.fromHost(packet)),
    });
    this.controller.toHost = (packet) => setImmediate(() => transport.emit("data", packet));
    bleHost.BleManager.create(transport, {}, (error, manager) => {
      if (error !== null && error !== undefined) throw error;
      manager.gattDb.setDeviceName("gauge");
      manager.gattDb.addServices(made);
      const uuids = services
        .filter(({ uuid }) => uuid.endsWith("00805f9b34fb"))
        .flatMap(({ uuid }) => [...Buffer.from(uuid.slice(4, 8), "hex")].reverse());
      manager.setAdvertisingData(Buffer.from([...item(0x01, Buffer.from([0x06])), ...item(0x03, Buffer.from(uuids))]));
      manager.setScanResponseData(Buffer.from(item(0x09, Buffer.from(name))));
      this.#advertise(manager);
    });
  }

  get isSubscribed(): boolean {
    return this.#subscribed.size > 0;
  }

  /** Notifies a value; false when nobody has subscribed. */
  notify(uuid: string, value: Buffer): boolean {
    const characteristic = this.#characteristics.findLast((one) => one.uuid === uuid);
    if (this.#connection === null || characteristic?.notify?.(this.#connection, value) !== true) return false;
    this.handedOver.push(value);
    return true;
  }

  pressure(tenths: number): boolean {
    const value = Buffer.alloc(4);
    value.writeUInt32LE(tenths);
    return this.notify(short("2a6d"), value);
  }

  #characteristic({ uuid, properties }: { uuid: string; properties: string[] }): Characteristic {
    return {
      uuid,
      properties,
      ...(properties.includes("read") ? { value: Buffer.alloc(4) } : {}),
      onSubscriptionChange: (_connection, isOn) => {
        if (isOn) this.#subscribed.add(uuid);
        else this.#subscribed.delete(uuid);
        this.watched.changed();
      },
      onWrite: (_connection, _needsResponse, value, callback) => {
        this.written.push(value.toString("latin1"));
        callback(0);
        this.watched.changed();
      },
    };
  }

  #advertise(manager: Manager): void {
    manager.startAdvertising({ intervalMin: 0x40, intervalMax: 0x60 }, (status, connection) => {
      if (status !== 0) throw new Error(`the peripheral stack could not advertise: ${status}`);
      this.#connection = connection;
      this.connections++;
      this.watched.changed();
      connection.on("disconnect", () => {
        this.#connection = null;
        this.#subscribed.clear();
        this.#advertise(manager);
        this.watched.changed();
      });
    });
  }
}
