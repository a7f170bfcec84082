/**
 * One line of a gauge as a reading, by its layout.
 *
 *     12:04:31;VAC;1002,7;mbar;17,3;OK*5E
 *     field 1   2    3      4   5   6   └ checksum=xor
 *               │    │      └ unitField └ statusField, status=OK:ok
 *               │    └ field
 *               └ signField, negative=VAC: a minus that stands apart
 */
import type { Reading } from "../../src/core/driver.ts";
import { checkedLength } from "./checksum.ts";
import { type Figure, readFigure, unitMemory } from "./figure.ts";
import type { Layout } from "./lineLayout.ts";
import type { Line } from "./lines.ts";

/** A line's text without its checksum; `null` when that is wrong. */
function checkedText({ text, bytes, size }: Line, { checksum, checksumPlace }: Layout): string | null {
  const length = checkedLength(bytes, checksum, checksumPlace);
  // What follows the covered part is ASCII, so that there bytes and characters are counted alike.
  return length === null ? null : text.slice(0, text.length - (size - length));
}

/** What the gauge's own words say of a figure: `null` nothing, `ok`, or why there is no value. */
function statusOf({ statusWords, statusField }: Layout, spot: string, figure: Figure, fields: readonly string[]): string | null {
  const said = statusField === undefined ? undefined : (fields[statusField - 1] ?? "").trim();
  const beside = figure.kind === "number" ? figure.suffix : "";
  const word = statusWords.get(spot.trim()) ?? (beside === "" ? undefined : statusWords.get(beside)) ?? statusWords.get(said ?? "");
  if (word !== undefined) return word;
  // Once the good letters are told, any other is not good.
  return said !== undefined && [...statusWords.values()].includes("ok") ? "sensor-fault" : null;
}

/** The figure with the sign that stands apart, turned round for a gauge that counts vacuum upwards; `null` when the sign's field holds neither sign. */
function signed({ signField, negative, reversed }: Layout, fields: readonly string[], value: number): number | null {
  const word = signField === undefined ? "" : (fields[signField - 1] ?? "").trim();
  const below = negative === null ? /^(-|−|neg|vac|vacuum)$/i.test(word) : negative.includes(word);
  if (!below && negative === null && !/^(\+|pos|press|pressure|)$/i.test(word)) return null;
  return (below ? -Math.abs(value) : value) * (reversed ? -1 : 1);
}

/** Adds what the gauge measures besides the pressure. */
function sideReader(layout: Layout): (reading: Reading, fields: readonly string[]) => Reading {
  const unitOf = unitMemory();
  return (reading, fields) => {
    if (layout.airField !== undefined) {
      const air = readFigure(fields[layout.airField - 1] ?? "", layout.decimal);
      reading.air_C = air.kind === "number" && /^([°˚]?c|degc|)$/i.test(air.suffix) ? air.value : null;
    }
    if (layout.ambientField !== undefined) {
      const ambient = readFigure(fields[layout.ambientField - 1] ?? "", layout.decimal);
      const unit = ambient.kind === "number" && ambient.suffix !== "" ? unitOf(ambient.suffix) : layout.ambientUnit;
      reading.ambient_Pa = ambient.kind === "number" && unit !== null ? ambient.value * unit.factor_Pa : null;
    }
    return reading;
  };
}

/** Reads one line; `null` when it is noise: its checksum is wrong, its sign is none, or its field holds no figure. */
export function lineReader(layout: Layout): (line: Line, at_ms: number) => Reading | null {
  const unitOf = unitMemory();
  const addSideFigures = sideReader(layout);
  return (line, at_ms) => {
    const text = checkedText(line, layout);
    if (text === null) return null;
    const fields = layout.separator === " " ? text.trim().split(/\s+/) : text.split(layout.separator);
    const spot = fields[layout.field - 1];
    if (spot === undefined) return null;
    const figure = readFigure(spot, layout.decimal);
    const status = layout.statusWords.size === 0 ? null : statusOf(layout, spot, figure, fields);
    const value = signed(layout, fields, figure.kind === "number" ? figure.value : 0);
    if ((figure.kind === "noise" && status === null) || value === null) return null;
    const besideWord = figure.kind === "number" && !layout.statusWords.has(figure.suffix) ? figure.suffix : "";
    const word = besideWord === "" && layout.unitField !== undefined ? (fields[layout.unitField - 1] ?? "").trim() : besideWord;
    const spoken = word === "" ? null : unitOf(word);
    const factor_Pa = (word === "" ? layout.unit : spoken)?.factor_Pa;
    const reading: Reading = { at_ms, pressure_Pa: null, unit: spoken?.name ?? null };
    if (status !== null && status !== "ok") reading.status = status;
    else if (figure.kind === "status") reading.status = figure.status;
    else if (figure.kind === "noise") reading.status = "not-a-number";
    else if (factor_Pa === undefined) reading.status = "unit-unknown";
    else reading.pressure_Pa = value * factor_Pa;
    return addSideFigures(reading, fields);
  };
}
