import type { JournalBody, JournalEvent, JournalKind } from "../journal.ts";
import { float64, uint8, uint32 } from "./growing.ts";

type Rare = Exclude<JournalBody, { kind: "bytes-in" | "bytes-sent" | "wake" }>;

const COMMON = ["bytes-in", "bytes-sent", "wake"] as const;
const KINDS: readonly JournalKind[] = COMMON;
const RARE = COMMON.length;
const NO_BYTES = new Uint8Array(0);

/** A journal packed into columns: some 20 bytes an event beside what came down the line. */
export class Tape {
  readonly #at_ms = float64();
  readonly #wall_ms = float64();
  /** The latest stamp so far: stamps of a file may go back, the way along the tape does not. */
  readonly #reached_ms = float64();
  readonly #kind = uint8();
  /** Which gauge of the test; 0: the one on the pipe, or none. */
  readonly #line = uint8();
  readonly #end = uint32();
  readonly #bytes = uint8();
  readonly #rare = new Map<number, Rare>();

  get length(): number {
    return this.#at_ms.length;
  }

  add(event: JournalEvent): void {
    const { seq: _seq, at_ms, wall_ms, line = 0, ...body } = event;
    const common = KINDS.indexOf(body.kind);
    if (body.kind !== "bytes-in" && body.kind !== "bytes-sent" && body.kind !== "wake") this.#rare.set(this.length, body);
    this.#bytes.append("bytes" in body ? body.bytes : NO_BYTES);
    this.#end.push(this.#bytes.length);
    this.#kind.push(common < 0 ? RARE : common);
    this.#reached_ms.push(Math.max(at_ms, this.length === 0 ? at_ms : this.reached_ms(this.length - 1)));
    this.#wall_ms.push(wall_ms);
    this.#line.push(line);
    this.#at_ms.push(at_ms);
  }

  trim(): void {
    for (const column of [this.#at_ms, this.#wall_ms, this.#reached_ms, this.#kind, this.#line, this.#end, this.#bytes]) column.trim();
  }

  /** The event as it was recorded. */
  event(i: number): JournalEvent {
    const line = this.#line.at(i);
    const stamps = { seq: i, at_ms: this.#at_ms.at(i), wall_ms: this.#wall_ms.at(i), ...(line > 0 && { line }) };
    const kind = COMMON[this.#kind.at(i)];
    if (kind === "wake") return { ...stamps, kind };
    if (kind !== undefined) return { ...stamps, kind, bytes: this.#bytes.slice(i === 0 ? 0 : this.#end.at(i - 1), this.#end.at(i)) };
    const body = this.#rare.get(i);
    if (body === undefined) throw new RangeError(`event ${i} of a tape has no body`);
    return { ...stamps, ...body };
  }

  reached_ms(i: number): number {
    return this.#reached_ms.at(i);
  }

  /** The last event that had come by then; the first when none had. */
  indexAt(at_ms: number): number {
    return Math.max(0, this.#reached_ms.countUpTo(at_ms) - 1);
  }
}
