import { dataError, usageError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";
import type { Signer } from "./key.ts";
import type { Archive } from "./open.ts";
import { appendEntry, type Sealed } from "./sealing.ts";
import { standings } from "./standings.ts";
import { guarded } from "./trouble.ts";

export interface Countersignature {
  /** Whole id of the record. */
  record: string;
  /** Who signs, as they want to be named. */
  by: string;
  wall_ms: number;
}

/** Adds a second signature: an entry of its own that names the record's seal. Usage error when the record is not sealed; 65 when it was altered. */
export function countersign(archive: Archive, signer: Signer, { record, by, wall_ms }: Countersignature): Sealed {
  const looked = [...standings(archive, new Set(), record)].find(({ kind }) => kind === "record");
  const found = looked?.found ?? null;
  if (looked === undefined || found === null)
    throw usageError("not-sealed", `Record ${plainText(record, 40)} is not sealed, so there is nothing to sign.`, "Sign it when it is.");
  if (looked.standing.standing === "altered")
    throw dataError(
      "record-altered",
      `Record ${plainText(record, 40)} was altered: ${looked.standing.what}.`,
      "Do not sign it; look for a copy that is intact.",
    );
  const { chain, number, seal } = found.sealed;
  const signs = { record, chain, number, seal: Buffer.from(seal).toString("hex") };
  const add = archive.db.transaction(() =>
    appendEntry(archive, signer, {
      kind: "countersign",
      subject: record,
      attempt: null,
      sealed_wall_ms: wall_ms,
      fields: { by, signs },
      blocks: [],
    }),
  );
  return guarded(archive.path, () => add.immediate());
}
