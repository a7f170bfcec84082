import type { ListedRow } from "./listedRow.ts";
import type { Scan } from "./rescueScan.ts";
import type { Seals } from "./rescueSeals.ts";

/** What the list still says of a record that is lost. */
export type ListSays = Pick<ListedRow, "section" | "stage" | "source" | "started_wall_ms" | "word">;

export const listSays = ({ section, stage, source, started_wall_ms, word }: ListedRow): ListSays => ({
  section,
  stage,
  source,
  started_wall_ms,
  word,
});

/** A sealed entry of which only the index still knows. */
export interface GoneSeal {
  entry: number;
  kind: string;
  subject: string;
}

export function goneSeals(scan: Scan, { found }: Seals): GoneSeal[] {
  const here = new Set(found.map(({ kind, subject, entry }) => `${entry} ${kind} ${subject}`));
  const gone = new Map<string, GoneSeal>();
  for (const where of scan.rows.sealed) {
    const [subject, kind, entry] = scan.read(where) ?? [];
    if (typeof subject !== "string" || typeof kind !== "string" || typeof entry !== "number") continue;
    const name = `${entry} ${kind} ${subject}`;
    if (!here.has(name)) gone.set(name, { entry, kind, subject });
  }
  return [...gone.values()];
}
