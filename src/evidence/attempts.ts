import type { ChainFinding, SealedEntry } from "./chain.ts";
import { fingerprintOf } from "./seal.ts";

/**
 * The counter of attempts is a key's own and kept outside the archive: a record thrown away before it was sealed leaves a hole in it.
 * A crew may write several archives with one key, so what stands in another chain here fills a hole too.
 */
export type KnownAttempts = ReadonlyMap<string, readonly number[]>;

/** All numbers that are accounted for, by key, in order. */
export function attemptsOf(entries: readonly SealedEntry[]): KnownAttempts {
  const known = new Map<string, number[]>();
  for (const { attempt, publicDer } of entries) {
    if (attempt === null) continue;
    const key = fingerprintOf(publicDer);
    const own = known.get(key);
    if (own) own.push(attempt);
    else known.set(key, [attempt]);
  }
  return new Map([...known].map(([key, attempts]) => [key, inOrder(attempts)]));
}

interface Counted {
  number: number;
  attempt: number;
}

/** A counter begins at 1. */
const NONE: Counted = { number: 0, attempt: 0 };

/** `list`: one chain, by number. A hole before the first record of a key is told as `after` 0. */
export function attemptFindings(chain: string, list: readonly SealedEntry[], known: KnownAttempts): ChainFinding[] {
  const here = inOrder(list.map(({ number }) => number));
  const last = new Map<string, Counted>();
  const found: ChainFinding[] = [];
  for (const { number, attempt, publicDer } of list) {
    if (attempt === null) continue;
    const key = fingerprintOf(publicDer);
    const before = last.get(key) ?? NONE;
    last.set(key, { number, attempt });
    if (before.number === number) continue;
    if (attempt <= before.attempt) {
      found.push({ kind: "counter-set-back", chain, number });
      continue;
    }
    // What is missing here as an entry may have been an attempt that was sealed; it is told as not included.
    const count = missing(known.get(key) ?? [], before.attempt, attempt) - missing(here, before.number, number);
    if (count > 0) found.push({ kind: "attempts-missing", chain, after: before.number, count });
  }
  return found;
}

/** An attempt that two chains claim: the counter was set back between them, such as by a copy of it put back. Twice in one chain is told by that chain. */
export function attemptsTwice(entries: readonly SealedEntry[]): ChainFinding[] {
  const first = new Map<string, SealedEntry>();
  const found: ChainFinding[] = [];
  for (const entry of entries) {
    if (entry.attempt === null) continue;
    const claim = `${fingerprintOf(entry.publicDer)} ${entry.attempt}`;
    const other = first.get(claim);
    if (other === undefined) first.set(claim, entry);
    else if (other.chain !== entry.chain) found.push({ kind: "counter-set-back", chain: entry.chain, number: entry.number });
  }
  return found;
}

/** What the counter of a key says now, on the machine that holds it. */
export interface Counter {
  /** Fingerprint. */
  key: string;
  attempts: number;
  /** Numbers given to records that are not sealed yet. */
  pending: readonly number[];
}

/** Attempts begun since the last record this key sealed in `chain`, or a counter that stands lower than that record says. Nothing for another's key. */
export function attemptsSince(chain: string, entries: readonly SealedEntry[], { key, attempts, pending }: Counter): ChainFinding[] {
  const known = attemptsOf(entries).get(key) ?? [];
  let last: Counted | null = null;
  for (const { chain: of, number, attempt, publicDer } of entries)
    if (of === chain && attempt !== null && number > (last?.number ?? 0) && fingerprintOf(publicDer) === key) last = { number, attempt };
  if (last === null) return [];
  if (attempts < last.attempt) return [{ kind: "counter-set-back", chain, number: last.number }];
  const count = missing(inOrder([...known, ...pending]), last.attempt, attempts + 1);
  return count > 0 ? [{ kind: "attempts-missing", chain, after: last.number, count }] : [];
}

/** How many whole numbers between two are not among `present`, which stand in order, each once. */
const missing = (present: readonly number[], after: number, before: number): number =>
  Math.max(0, before - after - 1 - (firstFrom(present, before) - firstFrom(present, after + 1)));

/** Place of the first number that is not below `low`. */
function firstFrom(sorted: readonly number[], low: number): number {
  let [from, to] = [0, sorted.length];
  while (from < to) {
    const middle = (from + to) >> 1;
    if ((sorted[middle] ?? low) < low) from = middle + 1;
    else to = middle;
  }
  return from;
}

const inOrder = (numbers: Iterable<number>): number[] => [...new Set(numbers)].sort((a, b) => a - b);
