/** Finding the checksum of lines nobody described. */
import { CHECKSUM_PLACES, CHECKSUMS, type ChecksumKind, type ChecksumPlace, checkedLength } from "./checksum.ts";
import type { Line } from "./lines.ts";

export interface Seal {
  checksum: ChecksumKind;
  checksumPlace: ChecksumPlace;
}

/** The checksum all the lines have, when they differ enough for that to be no chance. */
export function sealOf(lines: readonly Line[]): Seal | null {
  if (new Set(lines.map((one) => one.text)).size < 3) return null;
  for (const checksumPlace of CHECKSUM_PLACES)
    for (const checksum of CHECKSUMS)
      if (checksum !== "none" && lines.every((one) => checkedLength(one.bytes, checksum, checksumPlace) !== null))
        return { checksum, checksumPlace };
  return null;
}

/** A line's text before its checksum. */
export const withoutSeal = ({ text, bytes, size }: Line, seal: Seal | null): string =>
  seal === null ? text : text.slice(0, text.length - size + (checkedLength(bytes, seal.checksum, seal.checksumPlace) ?? size));
