import { plainText } from "../core/text.ts";
import { shortSeal } from "../evidence/seal.ts";
import type { Archive } from "../storage/open.ts";
import { type Looked, standings } from "../storage/standings.ts";
import type { Context } from "./command.ts";
import { keyOrNone, trustedKeys } from "./trust.ts";

/** How a record stands to its seal, before anybody believes what is played. */
export interface SealSeen {
  standing: "intact" | "altered" | "unsealed" | "unknown-key";
  /** For a heading. */
  word: string;
  /** For people. */
  sentence: string;
  /** What is not as it was sealed; else empty. */
  what: string;
}

/** Looks at the sealed record and the rows beside it. `trust`: as `verify --trust`. */
export async function sealOf(archive: Archive, id: string, trust: readonly string[], { io, key }: Context): Promise<SealSeen> {
  const trusted = await trustedKeys(trust, keyOrNone(key, io), io);
  const seen = [...standings(archive, trusted, id)].filter(({ kind }) => kind === "record").map(seenOf);
  const worst = seen.find(({ standing }) => standing === "altered") ?? seen[0];
  return worst ?? { standing: "unsealed", word: "unsealed", sentence: "seal: none", what: "" };
}

function seenOf({ standing, found }: Looked): SealSeen {
  const place = found === null ? "" : ` (number ${found.sealed.number}, code ${shortSeal(found.sealed.seal)})`;
  switch (standing.standing) {
    case "intact":
      return { standing: "intact", word: "sealed", sentence: `seal: intact${place}`, what: "" };
    case "unknown-key": {
      const who = `its key is none of those trusted here: ${standing.fingerprint}; ask its owner, then --trust "${standing.fingerprint}"`;
      return { standing: "unknown-key", word: "sealed, unknown key", sentence: `seal: fits${place}, but ${who}`, what: "" };
    }
    case "altered": {
      const what = plainText(standing.what, 200);
      return { standing: "altered", word: "ALTERED", sentence: `seal: ALTERED, ${what}`, what };
    }
    case "unsealed": {
      const why = standing.ended ? "it ended without one" : "it has no end yet";
      return { standing: "unsealed", word: "unsealed", sentence: `seal: none, ${why}`, what: "" };
    }
  }
}
