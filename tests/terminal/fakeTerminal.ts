import { PassThrough } from "node:stream";

export interface FakeKeyboard extends PassThrough {
  raw: boolean;
}

/** A keyboard that is a terminal as far as ink looks: `write` presses keys. */
export function fakeKeyboard(): NodeJS.ReadStream & FakeKeyboard {
  const stream = Object.assign(new PassThrough(), {
    isTTY: true as const,
    raw: false,
    setRawMode(mode: boolean) {
      stream.raw = mode;
      return stream;
    },
    ref: () => stream,
    unref: () => stream,
  });
  return stream as unknown as NodeJS.ReadStream & FakeKeyboard;
}

/** A screen that keeps what is written to it. */
export class FakeScreen extends PassThrough {
  readonly isTTY = true;
  text = "";
  columns: number;
  rows: number;

  constructor(columns: number, rows: number) {
    super();
    this.columns = columns;
    this.rows = rows;
    this.on("data", (chunk: Buffer) => {
      this.text += chunk.toString("utf8");
    });
  }

  resize(columns: number, rows: number): void {
    this.columns = columns;
    this.rows = rows;
    this.emit("resize");
  }

  asStream(): NodeJS.WriteStream {
    return this as unknown as NodeJS.WriteStream;
  }
}
