import type { Clock } from "../core/link.ts";

/** The raw streams, for a screen; `null` unless stdin and stdout are both a terminal. */
export interface Terminal {
  stdin: NodeJS.ReadStream;
  stdout: NodeJS.WriteStream;
}

/** All of the outside a command may touch; main.ts makes the real one, tests make one of arrays and a manual clock. */
export interface Io {
  /** To stdout; a line end is added when `text` has none. Data only. */
  out(text: string): void;
  /** To stderr, likewise. Complaints, and plain lines beside `--json`. */
  err(text: string): void;
  /** True once nobody reads stdout any more (`| head`); what is written there is dropped. */
  outGone(): boolean;
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly stdinIsTty: boolean;
  readonly stdoutIsTty: boolean;
  readonly terminal: Terminal | null;
  /** Size of the terminal now; 80 × 24 without one. */
  columns(): number;
  rows(): number;
  readonly clock: Clock;
  /** The program of the process that holds the Bluetooth stack. */
  readonly bluetoothChild: string;
  /** A whole file, `-` for stdin. A StaunchError (65) names a file that cannot be read. */
  readFile(path: string): Promise<Uint8Array>;
  /** Lines typed or piped into stdin while the listener stands; returns its removal. Not for use beside a screen. */
  onLine(listener: (line: string) => void): () => void;
  /** Ctrl-C or a polite kill while the listener stands; returns its removal. Without a listener the process just ends. */
  onInterrupt(listener: () => void): () => void;
}
