/**
 * Lines of text out of bytes, however they were chopped on the way. Longest line is bounded, so a gauge set to
 * another speed cannot fill the memory: what is too long is given up and counted until the next terminator.
 *
 *     1 0 0 . 2 CR LF 9 9 . 8 CR L          F …
 *     └ line ┘        └ line ┘ held, waits for LF
 */

/** What ends a line; `any`: each CR and each LF ends one, so blank lines are dropped. */
export type Terminator = "cr" | "lf" | "crlf" | "any";

export const TERMINATORS: Readonly<Record<Terminator, string>> = {
  cr: "\r",
  lf: "\n",
  crlf: "\r\n",
  any: "\r\n",
};

export interface HeldBytes {
  bytes: Uint8Array;
  /** Bytes up to the next terminator belong to a line already given up. */
  skipping: boolean;
}

export interface Line {
  text: string;
  /** As they came, without the terminator; a view, to be used at once. */
  bytes: Uint8Array;
  /** Bytes without the terminator. */
  size: number;
}

export interface Cut {
  held: HeldBytes;
  lines: Line[];
  /** Bytes given up because their line was too long. */
  unused: number;
}

const CR = 13;
const LF = 10;
const NOTHING = new Uint8Array(0);
const STRICT_UTF8 = new TextDecoder("utf-8", { fatal: true });
const LATIN1 = new TextDecoder("latin1");

export const noBytes: HeldBytes = { bytes: NOTHING, skipping: false };

/** Where the line beginning at `from` stops (first byte of its terminator) and where the next begins; `null` when it is not complete. */
function endOfLine(bytes: Uint8Array, from: number, terminator: Terminator): { stop: number; next: number } | null {
  for (let i = from; i < bytes.length; i++) {
    const byte = bytes[i];
    if (byte === CR && (terminator === "cr" || terminator === "any")) return { stop: i, next: i + 1 };
    if (byte !== LF || terminator === "cr") continue;
    if (terminator !== "crlf") return { stop: i, next: i + 1 };
    if (i > from && bytes[i - 1] === CR) return { stop: i - 1, next: i + 1 };
  }
  return null;
}

/** UTF-8 where it is valid, else one character a byte: a degree sign comes either way from a gauge. */
function textOf(bytes: Uint8Array): string {
  // Nearly every line is ASCII, and there a decoder costs more than all the rest of the reading.
  let ascii = "";
  for (const byte of bytes) {
    if (byte >= 0x80) return decoded(bytes);
    ascii += String.fromCharCode(byte);
  }
  return ascii;
}

function decoded(bytes: Uint8Array): string {
  try {
    return STRICT_UTF8.decode(bytes);
  } catch {
    return LATIN1.decode(bytes);
  }
}

function joined(head: Uint8Array, tail: Uint8Array): Uint8Array {
  if (head.length === 0) return tail;
  const whole = new Uint8Array(head.length + tail.length);
  whole.set(head);
  whole.set(tail, head.length);
  return whole;
}

/** Cuts the complete lines out of `held` + `bytes`. The same bytes give the same lines and the same count in any chunking. */
export function cutLines(held: HeldBytes, bytes: Uint8Array, terminator: Terminator, longest: number): Cut {
  const all = joined(held.bytes, bytes);
  const lines: Line[] = [];
  let { skipping } = held;
  let unused = 0;
  let from = 0;
  for (let end = endOfLine(all, from, terminator); end !== null; end = endOfLine(all, from, terminator)) {
    if (skipping || end.stop - from > longest) unused += end.stop - from;
    else if (end.stop > from) {
      const line = all.subarray(from, end.stop);
      lines.push({ text: textOf(line), bytes: line, size: line.length });
    }
    skipping = false;
    from = end.next;
  }
  const rest = all.subarray(from);
  // A trailing CR may be half of a CR LF: it stays, so that the pair is still seen when the LF comes.
  const keep = terminator === "crlf" && rest.at(-1) === CR ? 1 : 0;
  if (rest.length === 0)
    return {
      held: skipping ? { bytes: NOTHING, skipping } : noBytes,
      lines,
      unused,
    };
  if (!skipping && rest.length - keep <= longest) return { held: { bytes: rest.slice(), skipping }, lines, unused };
  return {
    held: { bytes: rest.slice(rest.length - keep), skipping: true },
    lines,
    unused: unused + rest.length - keep,
  };
}
