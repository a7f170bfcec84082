import type { LinkDefaults } from "../core/driver.ts";

/** A serial port and how it is set; nothing left to default. */
export interface PortSettings extends Required<LinkDefaults> {
  path: string;
}

const PARITY_LETTER = { none: "N", even: "E", odd: "O", mark: "M", space: "S" } as const;

/** For people, e.g. `/dev/ttyUSB0 at 9600 baud, 8N1`. */
export const describePort = (port: PortSettings): string =>
  `${port.path} at ${port.baud} baud, ${port.dataBits}${PARITY_LETTER[port.parity]}${port.stopBits}${port.flow === "none" ? "" : `, ${port.flow}`}`;

export interface PortEvents {
  data(bytes: Uint8Array): void;
  /** The port noticed that the line is gone; may come more than once. */
  gone(reason: string): void;
}

/** An open port. Each is used once: after `close` a new one is made. */
export interface OpenPort {
  /** Resolves when the bytes are with the operating system; may never settle while the other side takes none. */
  write(bytes: Uint8Array): Promise<void>;
  close(): Promise<void>;
}

/** Resolves with the open port, rejects with the reason it cannot be opened. */
export type MakePort = (settings: PortSettings, events: PortEvents) => Promise<OpenPort>;

/**
 * The real thing. The library is loaded only here, so commands without a gauge never pay for it.
 *
 * `hupcl: false` keeps DTR and RTS up when the port is closed: many USB gauges reset when these lines toggle, and the
 * watchdog would otherwise reset a gauge each time it reopens the line.
 */
export const makeSerialPort: MakePort = async (settings, events) => {
  const { SerialPort } = await import("serialport");
  const port = new SerialPort({
    path: settings.path,
    baudRate: settings.baud,
    dataBits: settings.dataBits,
    parity: settings.parity,
    stopBits: settings.stopBits,
    rtscts: settings.flow === "rtscts",
    xon: settings.flow === "xonxoff",
    xoff: settings.flow === "xonxoff",
    hupcl: false,
    autoOpen: false,
  });
  const gone = (error: Error | null | undefined) => events.gone(error?.message ?? "the port closed by itself");
  // A port without a data listener is paused and then never notices a hang-up.
  // Copied, so that a few bytes kept do not keep the library's whole pool of 64 kB.
  port.on("data", (bytes: Buffer) => events.data(new Uint8Array(bytes)));
  port.on("close", gone);
  port.on("error", gone);
  await new Promise<void>((resolve, reject) => port.open((error) => (error === null ? resolve() : reject(error))));
  return {
    write: (bytes) =>
      new Promise((resolve, reject) => {
        // The library queues a write to a closed port for ever instead of refusing it.
        if (!port.isOpen) reject(new Error("the port is closed"));
        else port.write(bytes, (error) => (error ? reject(error) : resolve()));
      }),
    close: () => new Promise((resolve) => (port.isOpen ? port.close(() => resolve()) : resolve())),
  };
};
