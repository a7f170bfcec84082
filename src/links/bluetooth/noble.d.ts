/** What is used of the Bluetooth stack. Its own declarations lack this entry and the parameters of a connection. */
declare module "@abandonware/noble/with-custom-binding.js" {
  export interface Characteristic extends NodeJS.EventEmitter {
    readonly uuid: string;
    readonly properties: readonly string[];
    subscribeAsync(): Promise<void>;
    writeAsync(bytes: Uint8Array, withoutResponse: boolean): Promise<void>;
  }

  export interface Service {
    readonly uuid: string;
    discoverCharacteristicsAsync(uuids: readonly string[]): Promise<Characteristic[]>;
  }

  export interface Peripheral extends NodeJS.EventEmitter {
    readonly id: string;
    readonly address: string;
    readonly addressType: string;
    readonly advertisement: { localName?: string; serviceUuids?: readonly string[] };
    readonly rssi: number;
    readonly connectable: boolean;
    readonly mtu: number | null;
    readonly state: string;
    /** Intervals in 1.25 ms, time-out in 10 ms (Bluetooth Core 5.4, Vol 4 Part E §7.8.12). */
    connectAsync(options: { minInterval: number; maxInterval: number; latency: number; timeout: number }): Promise<void>;
    cancelConnect(): void;
    disconnectAsync(): Promise<void>;
    discoverServicesAsync(uuids: readonly string[]): Promise<Service[]>;
  }

  export interface Noble extends NodeJS.EventEmitter {
    startScanningAsync(services: readonly string[], allowDuplicates: boolean): Promise<void>;
    stopScanningAsync(): Promise<void>;
  }

  /** Loads the native part and makes a stack of its own at each call. */
  export default function make(options: object): Noble;
}
