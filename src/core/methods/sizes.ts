import type { Material } from "./materials.ts";

const INCH_mm = 25.4;

/** Inches when the size is a whole or half number of them, else `null`. */
function wholeInches(dn_mm: number): number | null {
  const inches = dn_mm / INCH_mm;
  const whole = Math.round(2 * inches) / 2;
  return Math.abs(inches - whole) < 0.002 * whole ? whole : null;
}

/** The DN for standards that speak in DN: an inch is 25 in it, so 12 in (304.8 mm) is DN 300. Trade convention, no source. */
export function nominalDn(dn_mm: number): number {
  const inches = wholeInches(dn_mm);
  return inches === null ? dn_mm : 25 * inches;
}

/** The size for standards that speak in inches: DN 300 is 12 in; what is no such size is divided out. */
export function nominalInches(dn_mm: number): number {
  const inches = wholeInches(dn_mm);
  if (inches !== null) return inches;
  return dn_mm % 25 === 0 ? dn_mm / 25 : dn_mm / INCH_mm;
}

const PLASTICS: readonly (Material | null)[] = ["pvc", "pe", "pp", "abs"];
export const isPlastic = (material: Material | null): boolean => PLASTICS.includes(material);

/** Sizes that plastic pipe is only known by from outside. Common practice, no source. */
const OUTSIDE_mm = [50, 75, 90, 110, 140, 160, 180, 225, 280, 315, 355, 560, 630, 710];
export const isOutsideSize = (dn_mm: number, material: Material | null): boolean => isPlastic(material) && OUTSIDE_mm.includes(dn_mm);
