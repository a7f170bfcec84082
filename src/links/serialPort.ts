import { execFile } from "node:child_process";
import type { SerialPort } from "serialport";
import type { LinkDefaults } from "../core/driver.ts";

type OnOff = "on" | "off";

/** What the two outgoing control lines do. Left alone they go up when the port is opened, as the operating system has it (Windows: stay down). */
export interface ControlLines {
  dtr?: OnOff;
  rts?: OnOff;
  /** `on`: both fall when the port is closed. `off` (usual): they stay, so that reopening a line resets no gauge. */
  hupcl?: OnOff;
}

/** A serial port and how it is set; nothing left to default but the control lines. */
export interface PortSettings extends Required<LinkDefaults>, ControlLines {
  path: string;
}

const PARITY_LETTER = { none: "N", even: "E", odd: "O", mark: "M", space: "S" } as const;

/** For people, e.g. `/dev/ttyUSB0 at 9600 baud, 8N1`. */
export const describePort = (port: PortSettings): string =>
  [
    `${port.path} at ${port.baud} baud`,
    `${port.dataBits}${PARITY_LETTER[port.parity]}${port.stopBits}`,
    ...(port.flow === "none" ? [] : [port.flow]),
    ...(port.dtr === undefined ? [] : [`DTR ${port.dtr}`]),
    ...(port.rts === undefined ? [] : [`RTS ${port.rts}`]),
    ...(port.hupcl === "on" ? ["hang-up on close"] : []),
  ].join(", ");

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

/** `stty` is asked for a moment only: a machine without it, or a port it cannot open, is left as it was. */
const STTY_BOUND_ms = 1000;

/**
 * Tells the operating system to leave DTR and RTS up at closing. The library's own `hupcl: false` does not do it on Linux and macOS:
 * it leaves the setting as it finds it, and a serial port is born with hang-up on close. Never rejects.
 */
function keepLinesUp(path: string): Promise<void> {
  if (!path.startsWith("/")) return Promise.resolve();
  return new Promise((resolve) => {
    execFile("stty", [process.platform === "darwin" ? "-f" : "-F", path, "-hupcl"], { timeout: STTY_BOUND_ms }, () => resolve());
  });
}

/**
 * The real thing. The library is loaded only here, so commands without a gauge never pay for it.
 *
 * Many USB gauges reset when DTR or RTS toggles, and the watchdog would reset such a gauge each time it reopens the line:
 * so both are kept up at closing unless told otherwise.
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
    hupcl: settings.hupcl === "on",
    autoOpen: false,
  });
  const gone = (error: Error | null | undefined) => events.gone(error?.message ?? "the port closed by itself");
  /** What comes before the port is reported open; `null` from then on. */
  let early: Uint8Array[] | null = [];
  // A port without a data listener is paused and then never notices a hang-up.
  port.on("data", (bytes: Buffer) => {
    // Copied, so that a few bytes kept do not keep the library's whole pool of 64 kB.
    const copy = new Uint8Array(bytes);
    if (early === null) events.data(copy);
    else early.push(copy);
  });
  port.on("close", gone);
  port.on("error", gone);
  const close = (): Promise<void> => new Promise((resolve) => (port.isOpen ? port.close(() => resolve()) : resolve()));
  await new Promise<void>((resolve, reject) => port.open((error) => (error === null ? resolve() : reject(error))));
  try {
    await setControlLines(port, settings);
  } catch (error) {
    await close();
    throw error;
  }
  setImmediate(() => {
    const waiting = early ?? [];
    early = null;
    for (const bytes of waiting) events.data(bytes);
  });
  return {
    write: (bytes) =>
      new Promise((resolve, reject) => {
        // The library queues a write to a closed port for ever instead of refusing it.
        if (!port.isOpen) reject(new Error("the port is closed"));
        else port.write(bytes, (error) => (error ? reject(error) : resolve()));
      }),
    close,
  };
};

/** In this order: a second opening, as stty's, raises both lines again. */
async function setControlLines(port: SerialPort, { path, dtr, rts, hupcl }: PortSettings): Promise<void> {
  if (hupcl !== "on") await keepLinesUp(path);
  if (dtr === undefined && rts === undefined) return;
  await new Promise<void>((resolve, reject) =>
    port.set({ dtr: dtr !== "off", rts: rts !== "off" }, (error) => (error === null ? resolve() : reject(error))),
  );
}
