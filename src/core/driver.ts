/**
 * The driver contract. A driver turns the bytes of one protocol into readings and says what to send.
 * It is pure: it knows no port, no clock, no log. One outstanding query, its time-out and an identification
 * first all live in its state; time reaches it only as the stamp of an event.
 */

/** What a gauge's figure stands on: the air around it, or a sealed or absolute sensor less a stored zero. */
export type Reference = "vented" | "absolute";

export interface Reading {
  at_ms: number;
  /** Pascal; `null` when the gauge answered but had no value (overload, not-a-number). */
  pressure_Pa: number | null;
  /** The unit the gauge spoke, as one of our unit names (`Pa`, `mbar`, …), or `null` when it said none. */
  unit: string | null;
  /** Air temperature in degrees Celsius, when the gauge measures it. */
  air_C?: number | null;
  /** Atmospheric pressure in pascal, when the gauge measures it. */
  ambient_Pa?: number | null;
  /** Why there is no value: `overload`, `not-a-number`, `sensor-fault`. */
  status?: string;
}

/** `line`: which gauge of a test it came from, absent for the one on the pipe; only joined drivers (beside.ts) are told of others. */
export type DriverEvent =
  | { kind: "opened"; at_ms: number; line?: number }
  | { kind: "bytes"; at_ms: number; bytes: Uint8Array; line?: number }
  | { kind: "wake"; at_ms: number };

export interface DriverStep<S> {
  state: S;
  readings: Reading[];
  /** To be written to the line, in order. */
  send: Uint8Array[];
  /** Bytes that belonged to no reading in this step (noise, half frames given up, error replies). */
  unused: number;
  /** When the driver wants a `wake`; absent: no timer. Each step replaces the wish of the one before. */
  wakeAt_ms?: number;
  /** The gauge named itself in this step (`*IDN?` reply and the like), as it arrived; untrusted. */
  identity?: string;
  /** Charge left in the gauge's battery, when it told it in this step; 0 to 100. */
  battery_percent?: number;
  /** To be written to the lines of gauges beside the one on the pipe; joined drivers only. */
  beside?: readonly { line: number; bytes: Uint8Array }[];
  /** Sentences for the crew; joined drivers only. */
  notes?: readonly string[];
}

/** Where the values of a Bluetooth gauge stand; UUIDs as 4 or 32 lower case hexadecimal digits. */
export interface BluetoothChannels {
  services: readonly string[];
  /** Notified characteristics; the gauge must have the first. `label` (not 0) stands before each value that is handed to the driver. */
  notify: readonly { uuid: string; label: number }[];
  /** Where what the driver sends is written. */
  write?: string;
}

export interface Driver<S = unknown> {
  readonly protocol: string;
  readonly reference: Reference;
  /** How the line is to be set when the gauge's address does not say (e.g. `{ baud: 9600 }`). */
  readonly link: LinkDefaults;
  /** Absent: the protocol is not spoken over Bluetooth. */
  readonly bluetooth?: BluetoothChannels;
  /** Speaks for several gauges. */
  readonly joined?: true;
  start(): S;
  next(state: S, event: DriverEvent): DriverStep<S>;
}

export interface LinkDefaults {
  baud?: number;
  dataBits?: 5 | 6 | 7 | 8;
  parity?: "none" | "even" | "odd" | "mark" | "space";
  stopBits?: 1 | 1.5 | 2;
  flow?: "none" | "rtscts" | "xonxoff";
}

/** One line of `drivers/index.ts`. `create` refuses bad options with a StaunchError naming the option. */
export interface DriverEntry {
  protocol: string;
  /** For people, e.g. "SCPI instrument (text queries over a serial line)". */
  title: string;
  /** The public document the layout comes from. */
  source: string;
  /** Option name → one sentence, for `--help` and error hints. */
  options: Record<string, string>;
  create(options: Readonly<Record<string, string>>): Driver;
}

/** What the crew is asked to do at the valve; a simulated crew obeys it (or not), a real one hears it. */
export type CrewAct =
  | { act: "wait" }
  /** Pump until the pipe is at `to_Pa`. Also used for topping up. */
  | { act: "pump"; to_Pa: number }
  /** Let air out until the pipe is at `to_Pa`, then shut the valve. */
  | { act: "bleed"; to_Pa: number }
  | { act: "hands-off" }
  /** Open the vent at the plug and leave it open. */
  | { act: "vent" };
