/**
 * A stretch of the journal as columns, so that what hardly changes lies together and deflates to next to nothing.
 *
 *     format · count · first seq ║ kinds ║ stamps ║ walls ║ lines ║ lengths ║ bodies      each ║ column: its length, then its bytes
 *
 *     kinds    one byte an event
 *     stamps   at_ms: the change of the step from one event to the next (an even gauge: 0)
 *     walls    wall_ms − at_ms: its change (0 unless a clock was set)
 *     lines    which gauge an event came from
 *     lengths  of the bodies: change from the last of the same kind
 *     bodies   bytes less those of the last body as long and of the same kind ("1002.3 Pa" after "1002.2 Pa": 0 0 0 0 0 1 0 0 0);
 *              what is no bytes as JSON text
 *
 * Nothing is rounded: what is read back is what was written, to the last bit.
 */
import type { JournalEvent, JournalKind } from "../core/journal.ts";
import { VarintWriter } from "./varint.ts";

export const FORMAT = 1;

/** A kind is its place in this list: only ever added to at the end. */
export const KINDS: readonly JournalKind[] = ["bytes-in", "bytes-sent", "link-up", "link-down", "silence", "wake", "key", "zero", "end"];

/** Texts are UTF-8 everywhere in what is sealed. */
const utf8 = new TextEncoder();

/** Seq must count from the first event's without gaps. RangeError when it does not, or when a stamp is no whole number. */
export function journalColumns(events: readonly JournalEvent[]): Uint8Array {
  const kinds = new Uint8Array(events.length);
  const columns = { stamps: new VarintWriter(), walls: new VarintWriter(), lines: new VarintWriter(), lengths: new VarintWriter() };
  const bodies = new Bodies();
  let at_ms = 0;
  let step_ms = 0;
  let ahead_ms = 0;
  const firstSeq = events[0]?.seq ?? 0;
  events.forEach((event, i) => {
    const kind = KINDS.indexOf(event.kind);
    if (kind < 0 || event.seq !== firstSeq + i) throw new RangeError(`journal row ${event.seq} is not of a whole journal`);
    kinds[i] = kind;
    columns.stamps.signed(event.at_ms - at_ms - step_ms);
    step_ms = event.at_ms - at_ms;
    at_ms = event.at_ms;
    columns.walls.signed(event.wall_ms - event.at_ms - ahead_ms);
    ahead_ms = event.wall_ms - event.at_ms;
    columns.lines.unsigned(lineOf(event));
    columns.lengths.signed(bodies.add(kind, bodyOf(event)));
  });
  const head = new VarintWriter();
  for (const value of [FORMAT, events.length, firstSeq]) head.unsigned(value);
  const { stamps, walls, lines, lengths } = columns;
  return joined([
    head.bytes(),
    ...[kinds, stamps.bytes(), walls.bytes(), lines.bytes(), lengths.bytes(), bodies.bytes()].flatMap(measured),
  ]);
}

const lineOf = (event: JournalEvent): number => ("line" in event && typeof event.line === "number" ? event.line : 0);

function bodyOf(event: JournalEvent): Uint8Array {
  if (event.kind === "bytes-in" || event.kind === "bytes-sent") return event.bytes;
  const { seq: _seq, at_ms: _at, wall_ms: _wall, kind: _kind, ...rest } = event;
  if ("line" in rest) delete rest.line;
  return utf8.encode(JSON.stringify(rest));
}

function measured(column: Uint8Array): Uint8Array[] {
  const length = new VarintWriter();
  length.unsigned(column.length);
  return [length.bytes(), column];
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** Bodies less those before them. */
class Bodies {
  readonly #parts: Uint8Array[] = [];
  readonly #before = new LastBodies();

  /** How much longer the body is than the last one of its kind. */
  add(kind: number, body: Uint8Array): number {
    const longer = body.length - this.#before.length(kind);
    const last = this.#before.asLong(kind, body.length);
    this.#parts.push(last === null ? body : body.map((byte, i) => byte - (last[i] ?? 0)));
    this.#before.remember(kind, body);
    return longer;
  }

  bytes(): Uint8Array {
    return joined(this.#parts);
  }
}

/** The last body of each kind, and of each kind and length up to a line's; writer and reader must remember alike. */
export class LastBodies {
  static readonly LONGEST = 256;
  readonly #lengths = new Map<number, number>();
  readonly #bodies = new Map<number, Uint8Array>();

  length(kind: number): number {
    return this.#lengths.get(kind) ?? 0;
  }

  asLong(kind: number, length: number): Uint8Array | null {
    return this.#bodies.get(kind * (LastBodies.LONGEST + 1) + length) ?? null;
  }

  remember(kind: number, body: Uint8Array): void {
    this.#lengths.set(kind, body.length);
    if (body.length <= LastBodies.LONGEST) this.#bodies.set(kind * (LastBodies.LONGEST + 1) + body.length, body);
  }
}
