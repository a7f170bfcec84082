/** What is used of the peripheral's stack, which has no declarations of its own. */
declare module "ble-host" {
  export interface Connection extends NodeJS.EventEmitter {
    disconnect(): void;
  }

  export interface Characteristic {
    uuid: string;
    properties: readonly string[];
    value?: Buffer;
    onSubscriptionChange?(connection: Connection, notification: boolean): void;
    onWrite?(connection: Connection, needsResponse: boolean, value: Buffer, callback: (status: number) => void): void;
    /** Put there by the stack; false when the other side has not subscribed. */
    notify?(connection: Connection, value: Buffer): boolean;
  }

  export interface Manager extends NodeJS.EventEmitter {
    gattDb: { setDeviceName(name: string): void; addServices(services: { uuid: string; characteristics: Characteristic[] }[]): void };
    setAdvertisingData(data: Buffer): void;
    setScanResponseData(data: Buffer): void;
    startAdvertising(
      parameters: { intervalMin: number; intervalMax: number },
      callback: (status: number, connection: Connection) => void,
    ): void;
  }

  export interface Transport {
    on(event: "data" | "close", listener: (packet: Buffer) => void): unknown;
    removeListener(event: string, listener: (packet: Buffer) => void): unknown;
    write(packet: Buffer): void;
  }

  const host: {
    BleManager: { create(transport: Transport, options: object, callback: (error: Error | null, manager: Manager) => void): void };
  };
  export default host;
}
