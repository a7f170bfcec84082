import type { EndCause, JournalBody, JournalEvent } from "../core/journal.ts";
import { FORMAT, KINDS, LastBodies } from "./journalColumns.ts";
import { VarintReader } from "./varint.ts";

/** A day at a thousand readings a second is fewer. */
const MOST_EVENTS = 100_000_000;
const CAUSES: readonly EndCause[] = ["finished", "user", "interrupted", "link-lost", "failed"];

/**
 * The events a stretch of columns holds. RangeError for bytes that `journalColumns` cannot have written: they may be a stranger's, so nothing is
 * believed before it is looked at, and nothing is made larger than the bytes that came.
 */
export function journalRead(bytes: Uint8Array): JournalEvent[] {
  const reader = new VarintReader(bytes);
  if (reader.unsigned() !== FORMAT) throw new RangeError("the journal is of another format");
  const count = reader.unsigned();
  const firstSeq = reader.unsigned();
  if (count > MOST_EVENTS) throw new RangeError("the journal claims too many events");
  const column = (): Uint8Array => reader.take(reader.unsigned());
  const kinds = column();
  const [stamps, walls, lines, lengths] = [column(), column(), column(), column()].map((c) => new VarintReader(c));
  const bodies = new BodyReader(column());
  if (kinds.length !== count || !reader.isAtEnd || !stamps || !walls || !lines || !lengths)
    throw new RangeError("the journal's columns do not fit");
  let at_ms = 0;
  let step_ms = 0;
  let ahead_ms = 0;
  const events: JournalEvent[] = [];
  for (let i = 0; i < count; i++) {
    step_ms += stamps.signed();
    at_ms += step_ms;
    ahead_ms += walls.signed();
    const line = lines.unsigned();
    const kind = kinds[i] ?? KINDS.length;
    const body = bodyFrom(kind, bodies.next(kind, lengths.signed()));
    events.push({ ...body, ...(line === 0 ? {} : { line }), seq: firstSeq + i, at_ms, wall_ms: at_ms + ahead_ms });
  }
  if (!(stamps.isAtEnd && walls.isAtEnd && lines.isAtEnd && lengths.isAtEnd && bodies.isAtEnd))
    throw new RangeError("the journal has more than its events");
  return events;
}

/** Puts back what was taken off a body for being like the one before. */
class BodyReader {
  readonly #reader: VarintReader;
  readonly #before = new LastBodies();

  constructor(bytes: Uint8Array) {
    this.#reader = new VarintReader(bytes);
  }

  next(kind: number, longer: number): Uint8Array {
    const length = this.#before.length(kind) + longer;
    if (length < 0) throw new RangeError("a body is shorter than nothing");
    const last = this.#before.asLong(kind, length);
    const body = this.#reader.take(length).map((byte, i) => byte + (last?.[i] ?? 0));
    this.#before.remember(kind, body);
    return body;
  }

  get isAtEnd(): boolean {
    return this.#reader.isAtEnd;
  }
}

function bodyFrom(kind: number, bytes: Uint8Array): JournalBody {
  const name = KINDS[kind];
  if (name === "bytes-in" || name === "bytes-sent") return { kind: name, bytes };
  const fields: unknown = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(bytes));
  const text = (key: string): string => {
    const value = fieldOf(fields, key);
    if (typeof value !== "string") throw new RangeError(`a ${name} has no ${key}`);
    return value;
  };
  const figure = (key: string): number => {
    const value = fieldOf(fields, key);
    if (typeof value !== "number") throw new RangeError(`a ${name} has no ${key}`);
    return value;
  };
  switch (name) {
    case "wake":
      return { kind: name };
    case "link-up":
      return { kind: name, detail: text("detail") };
    case "link-down":
      return { kind: name, reason: text("reason") };
    case "silence":
      return { kind: name, since_ms: figure("since_ms") };
    case "key":
      return { kind: name, action: text("action") };
    case "zero":
      return { kind: name, zero_Pa: figure("zero_Pa") };
    case "end": {
      const cause = CAUSES.find((one) => one === text("cause"));
      if (cause === undefined) throw new RangeError("an end has no known cause");
      return { kind: name, cause, detail: text("detail") };
    }
    default:
      throw new RangeError("an event is of no known kind");
  }
}

const fieldOf = (value: unknown, key: string): unknown =>
  typeof value === "object" && value !== null ? Object.getOwnPropertyDescriptor(value, key)?.value : undefined;
