/** Why a gauge's lines are read as proposed, in sentences for people. */
import type { Column, Grid } from "./columns.ts";
import type { Seal } from "./seals.ts";

export function reasonsFor(pressure: Column, options: Readonly<Record<string, string>>, grid: Grid, seal: Seal | null): string[] {
  const reasons = [...grid.because];
  if (seal !== null)
    reasons.push(
      `Every line ends with a checksum that fits: ${seal.checksum}, ${seal.checksumPlace === "star" ? "after a *" : "its last digits"}.`,
    );
  reasons.push(
    pressure.unit === null
      ? "The gauge says no unit: read it off its display and add it as unit=…"
      : `The figure in field ${options["field"] ?? "1"} has the unit ${pressure.unit.name} ${options["unitField"] === undefined ? "beside it" : "in the next field"}.`,
  );
  if (options["airField"] !== undefined) reasons.push(`Field ${options["airField"]} is a temperature in °C, taken for the air's.`);
  if (options["ambientField"] !== undefined) reasons.push(`Field ${options["ambientField"]} stands near the atmosphere's pressure.`);
  if (options["reference"] === "absolute")
    reasons.push(
      "The pressure stands near the atmosphere's: the sensor seems absolute. If it was joined to a pressed pipe, leave reference out.",
    );
  return reasons;
}
