import { usageError } from "../errors.ts";

/** Materials by the names we take; each standard maps them to its own classes. */
export const MATERIALS = [
  "dry-concrete",
  "wet-concrete",
  "clay",
  "pvc",
  "pe",
  "pp",
  "abs",
  "grp",
  "ductile-iron",
  "cast-iron",
  "steel",
  "fibre-cement",
  "brick",
  "other",
] as const;

export type Material = (typeof MATERIALS)[number];

const isMaterial = (word: string): word is Material => (MATERIALS as readonly string[]).includes(word);

/** A material's name as people write it ("PVC", "dry concrete") → ours; a StaunchError (`material-unknown`) lists what there is. */
export function parseMaterial(text: string): Material {
  const word = text
    .trim()
    .toLowerCase()
    .replace(/[\s_]+/g, "-");
  if (isMaterial(word)) return word;
  const hint = word.endsWith("concrete")
    ? "Concrete breathes when dry: say dry-concrete or wet-concrete."
    : `Known materials: ${MATERIALS.join(", ")}.`;
  throw usageError("material-unknown", `${JSON.stringify(text.slice(0, 60))} is not a material known here.`, hint);
}
