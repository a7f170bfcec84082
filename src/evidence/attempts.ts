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

/** `list`: one chain, by number. */
export function attemptFindings(chain: string, list: readonly SealedEntry[], known: KnownAttempts): ChainFinding[] {
  const here = inOrder(list.map(({ number }) => number));
  const last = new Map<string, { number: number; attempt: number }>();
  const found: ChainFinding[] = [];
  for (const { number, attempt, publicDer } of list) {
    if (attempt === null) continue;
    const key = fingerprintOf(publicDer);
    const before = last.get(key);
    last.set(key, { number, attempt });
    if (before === undefined || before.number === number) continue;
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
