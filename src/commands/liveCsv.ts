import { createWriteStream, type Stats, statSync, type WriteStream } from "node:fs";
import type { Reading } from "../core/driver.ts";
import { EXIT, StaunchError, usageError } from "../core/errors.ts";
import type { Io } from "./io.ts";

const HEADER = "time_s,pressure_Pa,air_C,ambient_Pa";
/** A reader that stalls (a pipe nobody empties) may be so far behind; what comes beyond is lost and counted, for memory must not grow. */
const LONGEST_QUEUE_bytes = 4_000_000;

/** Readings as the CSV of the design, one line each, handed to the system at once. */
export interface ReadingsOut {
  /** `pressure_Pa` less the zero in force; a reading without a value has no line. */
  add(at_s: number, pressure_Pa: number, reading: Reading): void;
  /** True once the reader of the lines is gone. */
  gone(): boolean;
  /** Lines that could not be written. */
  lost(): number;
  /** Everything written is with the system; rejects with a StaunchError (74) when the disk refused. */
  close(): Promise<void>;
}

/** Nine digits: finer than any gauge, and 0.1 + 0.2 stays 0.3. */
const plain = (value: number): string => String(Number(value.toPrecision(9)));

const lineOf = (at_s: number, pressure_Pa: number, { air_C, ambient_Pa }: Reading): string =>
  `${at_s.toFixed(3)},${plain(pressure_Pa)},${air_C == null ? "" : plain(air_C)},${ambient_Pa == null ? "" : plain(ambient_Pa)}\n`;

function statOf(path: string): Stats | null {
  try {
    return statSync(path);
  } catch {
    return null;
  }
}

/** `--csv -` or a file that is not there yet (a pipe or a device may be). StaunchErrors: `csv-exists` (64), `csv-unwritable` (74). */
export async function readingsOut(where: string, io: Io): Promise<ReadingsOut> {
  if (where === "-") return onStdout(io);
  const stat = statOf(where);
  if (stat?.isFile() && stat.size > 0)
    throw usageError(
      "csv-exists",
      `${JSON.stringify(where)} is there already and would be overwritten.`,
      "Give another name, or move it away.",
    );
  return new FileOut(where, await opened(where));
}

function onStdout(io: Io): ReadingsOut {
  io.out(HEADER);
  return {
    add: (at_s, pressure_Pa, reading) => io.out(lineOf(at_s, pressure_Pa, reading)),
    gone: () => io.outGone(),
    lost: () => 0,
    close: () => Promise.resolve(),
  };
}

const unwritable = (path: string, cause: unknown): StaunchError =>
  new StaunchError({
    code: "csv-unwritable",
    message: `${JSON.stringify(path)} cannot be written${cause instanceof Error ? ` (${cause.message})` : ""}.`,
    hint: "Check that its folder is there, that there is room, and who may write.",
    exit: EXIT.storage,
    cause,
  });

function opened(path: string): Promise<WriteStream> {
  const stream = createWriteStream(path, { flags: "w" });
  return new Promise((resolve, reject) => {
    stream.once("open", () => resolve(stream)).once("error", (cause) => reject(unwritable(path, cause)));
  });
}

class FileOut implements ReadingsOut {
  readonly #path: string;
  readonly #stream: WriteStream;
  #trouble: NodeJS.ErrnoException | null = null;
  #lost = 0;

  constructor(path: string, stream: WriteStream) {
    this.#path = path;
    this.#stream = stream;
    stream.on("error", (error) => {
      this.#trouble ??= error;
    });
    stream.write(`${HEADER}\n`);
  }

  add(at_s: number, pressure_Pa: number, reading: Reading): void {
    if (this.#trouble !== null || this.#stream.writableLength > LONGEST_QUEUE_bytes) this.#lost++;
    else this.#stream.write(lineOf(at_s, pressure_Pa, reading));
  }

  gone(): boolean {
    return this.#trouble?.code === "EPIPE";
  }

  lost(): number {
    return this.gone() ? 0 : this.#lost;
  }

  async close(): Promise<void> {
    if (this.#trouble === null) await new Promise<void>((resolve) => this.#stream.once("error", () => resolve()).end(resolve));
    if (this.#trouble !== null && !this.gone()) throw unwritable(this.#path, this.#trouble);
  }
}
