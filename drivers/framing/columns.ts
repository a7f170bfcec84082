/**
 * Lines of a gauge nobody described, as columns: which sign parts the fields, which stands before the fraction, what each column is.
 *
 *     12:04:31;1002,7;mbar;17,3 °C;1013,2 hPa
 *     └ other  └pressure   └ air   └ ambient
 *                     └ unit
 */
import { type Figure, readFigure, type SpokenUnit, spokenUnit } from "./figure.ts";

export type Role = "pressure" | "unit" | "sign" | "air" | "ambient" | "other";

export interface Column {
  texts: string[];
  figures: Figure[];
  /** Of its figures: spoken beside them or in the next column. */
  unit: SpokenUnit | null;
  role: Role;
}

export interface Grid {
  separator: string | null;
  decimal: "point" | "comma";
  columns: Column[];
  because: string[];
  /** Something was guessed between two readings that are as likely. */
  doubtful: boolean;
}

/** Most telling first; names as the option has them. A blank is last: it stands in dates, names and between figure and unit too. */
const SEPARATORS = [
  ["semicolon", ";"],
  ["tab", "\t"],
  ["|", "|"],
  ["comma", ","],
  ["=", "="],
  [":", ":"],
  ["space", " "],
] as const;

/** Share of the lines something must hold in to be a rule; gauges begin with a heading or say OL now and then. */
const MOST = 0.8;
const CELSIUS = /^([°˚]?c|degc)$/i;
const SIGN = /^([+-]|vac|neg|pos|)$/i;
/** The atmosphere where people dig, with room on both sides, Pa. */
const ATMOSPHERE_Pa = [85_000, 110_000] as const;

const share = <T>(list: readonly T[], holds: (one: T) => boolean): number =>
  list.length === 0 ? 0 : list.filter(holds).length / list.length;

/** A comma between digits is a decimal sign when nothing else can be one and something else parts the fields, or there is one comma a line. */
function decimalOf(lines: readonly string[]): { decimal: "point" | "comma"; why: string | null; doubtful?: true } {
  const withComma = share(lines, (one) => /\d,\d/.test(one));
  if (withComma < MOST || lines.some((one) => /\d\.\d/.test(one))) return { decimal: "point", why: null };
  if (share(lines, (one) => /[;\t|]/.test(one)) >= MOST) return { decimal: "comma", why: "Fractions are written with a comma." };
  const single = share(lines, (one) => /^[^,]*\d,\d{1,3}(?!\d)[^,]*$/.test(one)) >= MOST;
  return single
    ? {
        decimal: "comma",
        why: "The one comma in each line is taken for a decimal sign; if it parts two fields, give decimal=point.",
        doubtful: true,
      }
    : { decimal: "point", why: null };
}

const isNumber = (figure: Figure): boolean => figure.kind === "number";
export const valuesOf = (column: Column): number[] => column.figures.flatMap((one) => (one.kind === "number" ? [one.value] : []));

function columnOf(texts: string[], decimal: "point" | "comma"): Column {
  const figures = texts.map((text) => readFigure(text, decimal));
  const beside = figures.flatMap((one) => (one.kind === "number" && one.suffix !== "" ? [spokenUnit(one.suffix)] : []));
  return { texts, figures, unit: beside.at(-1) ?? null, role: "other" };
}

/** Splits by one separator; `null` when most lines do not have the same number of fields. */
function split(lines: readonly string[], separator: string, decimal: "point" | "comma"): Column[] | null {
  const rows = lines.map((one) => (separator === " " ? one.trim().split(/\s+/) : one.split(separator)));
  const counts = new Map<number, number>();
  for (const row of rows) counts.set(row.length, (counts.get(row.length) ?? 0) + 1);
  const [usual = 0, times = 0] = [...counts].sort((a, b) => b[1] - a[1])[0] ?? [];
  if (usual < 2 || usual > 64 || times / rows.length < MOST) return null;
  const even = rows.filter((row) => row.length === usual);
  return Array.from({ length: usual }, (_, i) =>
    columnOf(
      even.map((row) => row[i] ?? ""),
      decimal,
    ),
  );
}

const holdsFigures = (column: Column): boolean =>
  share(column.figures, (one) => one.kind !== "noise") >= MOST && share(column.figures, isNumber) > 0.3;

/** Line numbers and times grow by the same step at each line. */
function counts(column: Column): boolean {
  const seen = valuesOf(column);
  const step = (seen[1] ?? 0) - (seen[0] ?? 0);
  return seen.length > 3 && step > 0 && seen.slice(1).every((value, i) => Math.abs(value - (seen[i] ?? 0) - step) <= step * 1e-6);
}

const isCelsius = (column: Column, next: Column | undefined): boolean =>
  share(column.figures, (one) => one.kind === "number" && CELSIUS.test(one.suffix)) >= MOST ||
  (next !== undefined && share(next.texts, (one) => CELSIUS.test(one.trim())) >= MOST);

export function nearAtmosphere(column: Column): boolean {
  const factors_Pa = column.unit === null ? [1, 100] : [column.unit.factor_Pa];
  return factors_Pa.some(
    (factor_Pa) => share(valuesOf(column), (one) => one * factor_Pa > ATMOSPHERE_Pa[0] && one * factor_Pa < ATMOSPHERE_Pa[1]) >= MOST,
  );
}

/** Says what each column is; `null` when none can be a pressure. `rivals`: other columns that could be it as well. */
function assign(columns: Column[]): { pressure: Column; rivals: Column[] } | null {
  for (const [i, column] of columns.entries()) {
    const next = columns[i + 1];
    if (share(column.texts, (one) => spokenUnit(one) !== null) >= MOST) column.role = "unit";
    else if (share(column.texts, (one) => SIGN.test(one.trim())) === 1 && column.texts.some((one) => one.trim() !== ""))
      column.role = "sign";
    else if (holdsFigures(column) && isCelsius(column, next)) column.role = "air";
    if (
      column.role === "other" &&
      column.unit === null &&
      next !== undefined &&
      share(next.texts, (one) => spokenUnit(one) !== null) >= MOST
    )
      column.unit = spokenUnit(next.texts.at(-1) ?? "");
  }
  const fit = columns.filter((one) => one.role === "other" && holdsFigures(one) && !(one.unit === null && counts(one)));
  const told = fit.filter((one) => one.unit !== null);
  const open = (told.length > 0 ? told : fit).filter((one) => !nearAtmosphere(one));
  const pressure = open[0] ?? told[0] ?? fit[0];
  if (pressure === undefined) return null;
  pressure.role = "pressure";
  const ambient = fit.find((one) => one !== pressure && nearAtmosphere(one));
  if (ambient !== undefined && !nearAtmosphere(pressure)) ambient.role = "ambient";
  return { pressure, rivals: open.slice(1) };
}

/** Lines (without checksums) as columns, one of them the pressure; `null` when no column can be one. */
export function gridOf(lines: readonly string[]): { grid: Grid; pressure: Column } | null {
  const { decimal, why, doubtful = false } = decimalOf(lines);
  const tries: [string | null, Column[] | null][] = [[null, [columnOf([...lines], decimal)]]];
  for (const [name, sign] of SEPARATORS) if (sign !== "," || decimal === "point") tries.push([name, split(lines, sign, decimal)]);
  for (const [separator, columns] of tries) {
    const found = columns === null ? null : assign(columns);
    if (columns === null || found === null) continue;
    const because = why === null ? [] : [why];
    if (separator !== null) because.push(`Fields are parted by ${separator}; there are ${columns.length}.`);
    const rivals = found.rivals.map((one) => columns.indexOf(one) + 1);
    if (rivals.length > 0) because.push(`Field ${rivals.join(" or ")} could be the pressure as well; the first was taken.`);
    return { grid: { separator, decimal, columns, because, doubtful: doubtful || rivals.length > 0 }, pressure: found.pressure };
  }
  return null;
}
