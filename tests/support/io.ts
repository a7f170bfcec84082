import type { Io } from "../../src/commands/io.ts";
import { dataError } from "../../src/core/errors.ts";
import { QueueClock } from "../../src/links/queueClock.ts";

/** An Io of arrays and a clock that moves only when told to. */
export interface TestIo extends Io {
  readonly outText: string[];
  readonly errText: string[];
  readonly clock: QueueClock;
  /** Types a line and Enter. */
  type(line: string): void;
  /** Presses Ctrl-C. */
  interrupt(): void;
}

export interface TestIoParts {
  files?: Readonly<Record<string, string | Uint8Array>>;
  env?: Io["env"];
}

export function testIo({ files = {}, env = {} }: TestIoParts = {}): TestIo {
  const outText: string[] = [];
  const errText: string[] = [];
  const listeners = new Set<() => void>();
  const readers = new Set<(line: string) => void>();
  return {
    outText,
    errText,
    out: (text) => outText.push(text),
    err: (text) => errText.push(text),
    outGone: () => false,
    env,
    stdinIsTty: false,
    stdoutIsTty: false,
    terminal: null,
    columns: () => 80,
    rows: () => 24,
    clock: new QueueClock(),
    bluetoothChild: "no-bluetooth-in-this-test",
    async readFile(path) {
      const found = files[path];
      if (found === undefined) throw dataError("file-unreadable", `${JSON.stringify(path)}: there is no such file.`, "Check the path.");
      return typeof found === "string" ? new TextEncoder().encode(found) : found;
    },
    onLine(listener) {
      readers.add(listener);
      return () => readers.delete(listener);
    },
    type: (line) => {
      for (const reader of readers) reader(line);
    },
    onInterrupt(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    interrupt: () => {
      for (const listener of listeners) listener();
    },
  };
}
