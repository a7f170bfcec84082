import { attemptFindings, attemptsOf } from "./attempts.ts";
import { fingerprintOf, hashOf, isSignedBy, NO_SEAL, sealOf } from "./seal.ts";

/**
 * One sealed entry as it lies in an archive, nothing about it believed yet. `chain`, `number` and `attempt` are to be read from its head, which
 * the seal covers; columns beside it are copies for lists.
 */
export interface SealedEntry {
  /** The archive that sealed it and its number there, counting from 1. */
  chain: string;
  number: number;
  previous: Uint8Array;
  seal: Uint8Array;
  signature: Uint8Array;
  publicDer: Uint8Array;
  head: Uint8Array;
  blocks: readonly { bytes: Uint8Array; hash: Uint8Array }[];
  /** How many attempts this key had begun by then, counted outside the archive; `null`: it is no test. */
  attempt: number | null;
}

export type Standing =
  | { standing: "intact" }
  /** The seal fits, the key is none of those trusted. */
  | { standing: "unknown-key"; fingerprint: string }
  /** `block`: the first that differs, from 1; `null`: the head, a hash, the seal or the signature. */
  | { standing: "altered"; what: string; block: number | null };

const altered = (what: string, block: number | null = null): Standing => ({ standing: "altered", what, block });

/** Looks at one entry alone. `trusted` are fingerprints; `null`: any key will do. */
export function standingOf(entry: SealedEntry, trusted: ReadonlySet<string> | null): Standing {
  const bad = entry.blocks.findIndex(({ bytes, hash }) => !same(hashOf(bytes), hash));
  if (bad >= 0) return altered(`block ${bad + 1} of the journal is not the one that was sealed`, bad + 1);
  return headStanding(entry, trusted);
}

/** The same without a look at the bytes of the blocks: head, hashes, seal and signature. Cheap enough for every line of a list. */
export function headStanding(entry: SealedEntry, trusted: ReadonlySet<string> | null): Standing {
  if (entry.previous.length !== 32 || entry.blocks.some(({ hash }) => hash.length !== 32)) return altered("a hash is not whole");
  const seal = sealOf({ previous: entry.previous, head: entry.head, blockHashes: entry.blocks.map(({ hash }) => hash) });
  if (!same(seal, entry.seal)) return altered("what was tested, its verdict, its blocks or their order are not what was sealed");
  if (!isSignedBy(entry.seal, entry.signature, entry.publicDer)) return altered("the signature is not of this seal and key");
  const fingerprint = fingerprintOf(entry.publicDer);
  if (trusted !== null && !trusted.has(fingerprint)) return { standing: "unknown-key", fingerprint };
  return { standing: "intact" };
}

export type ChainFinding =
  /** Numbers `from` to `to` of a chain are not here: cut out, deleted, or left out of a handover. */
  | { kind: "not-included"; chain: string; from: number; to: number }
  /** Two entries stand at one place, or one does not stand on the one before it. */
  | { kind: "forked"; chain: string; number: number }
  /** Attempts of this key that left no record here, between two that did: thrown away, or kept in another archive. */
  | { kind: "attempts-missing"; chain: string; after: number; count: number }
  /** The counter of the key that sealed `number` stood no higher than before: it was set back, and hides attempts. */
  | { kind: "counter-set-back"; chain: string; number: number };

const byNumber = (a: SealedEntry, b: SealedEntry): number => a.number - b.number;

/** Looks at how entries stand on one another. Those of several archives may lie mixed and in any order. */
export function chainFindings(entries: readonly SealedEntry[]): ChainFinding[] {
  const chains = new Map<string, SealedEntry[]>();
  for (const entry of entries) {
    const list = chains.get(entry.chain);
    if (list) list.push(entry);
    else chains.set(entry.chain, [entry]);
  }
  const known = attemptsOf(entries);
  return [...chains].flatMap(([chain, list]) => {
    const inOrder = [...list].sort(byNumber);
    return [...linksOf(chain, inOrder), ...attemptFindings(chain, inOrder, known)];
  });
}

function linksOf(chain: string, list: readonly SealedEntry[]): ChainFinding[] {
  const found: ChainFinding[] = [];
  let last: { number: number; seal: Uint8Array } = { number: 0, seal: NO_SEAL };
  for (const { number, previous, seal } of list) {
    if (number > last.number + 1) found.push({ kind: "not-included", chain, from: last.number + 1, to: number - 1 });
    if (number === last.number || (number === last.number + 1 && !same(previous, last.seal))) found.push({ kind: "forked", chain, number });
    last = { number, seal };
  }
  return found;
}

const same = (a: Uint8Array, b: Uint8Array): boolean => a.length === b.length && a.every((byte, i) => byte === b[i]);
