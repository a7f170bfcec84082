import { displayUnit } from "../core/methods/displayUnit.ts";
import type { RecordStart } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { toUnit, type UnitName } from "../core/units.ts";
import type { FoundRecord, RecordLine } from "../storage/records.ts";
import { duration, litres, pressure, pressureScale } from "../terminal/figures.ts";
import { sourceWord, verdictLines } from "../terminal/plain.ts";
import { wallTime } from "../terminal/wall.ts";
import { table } from "./table.ts";

/** What stands in place of a verdict when there is none; `null` when the lock cannot tell. */
export type Unfinished = "running" | "interrupted" | null;

const wordOf = (verdict: string | null, unfinished: Unfinished): string =>
  verdict === null ? (unfinished ?? "no end") : plainText(verdict, 20).toUpperCase();

/** How a record of a list stands against its seal; empty: open, or not looked at. */
export type Held = "sealed" | "unsealed" | "altered" | "";

/** A record a line, in columns; the source stands in every line whose gauge was none. Of an altered record no verdict is shown. */
export function listLines(records: readonly (RecordLine & { held: Held })[], unfinished: (record: RecordLine) => Unfinished): string[] {
  const rows = records.map((record) => [
    plainText(record.id, 40),
    wallTime(record.started_wall_ms),
    record.held === "altered" ? "ALTERED" : wordOf(record.verdict, unfinished(record)),
    plainText(record.section, 40),
    plainText(record.stage, 20),
    plainText(record.method, 40),
    [sourceWord(record.source), record.held === "unsealed" ? "UNSEALED" : null].filter((word) => word !== null).join(" "),
  ]);
  return table(rows);
}

/** One record on a page: what was known before, then how it ended. `altered`: what of it is not what was sealed; its verdict is then not shown. */
export function recordLines({ start, end }: FoundRecord, unfinished: Unfinished, altered: string | null = null): string[] {
  const unit = displayUnit(start.limits);
  const source = sourceWord(start.source);
  const head = [
    ["record", plainText(start.id, 60)],
    ["section", sectionText(start)],
    ["stage", plainText(start.stage, 40)],
    ...asTestedText(start),
    ["tester", start.tester === null ? "not named" : plainText(start.tester, 80)],
    ["started", wallTime(start.started_wall_ms)],
    ["ended", end === null ? (unfinished ?? "no end") : wallTime(end.ended_wall_ms)],
    ["gauge", gaugeText(start.gauge, unit)],
    ...(start.also ?? []).map(({ role, gauge }): [string, string] => [role, gaugeText(gauge, unit)]),
    ...(start.overrides === undefined
      ? []
      : [["overrides", `${plainText(start.overrides, 60)}: an air test; the water result alone decides`]]),
    ["limits", limitsText(start, unit)],
    ["program", `${plainText(start.program, 60)}, judge ${start.judge_version}`],
    ...(source === null ? [] : [["source", `${source}: proves no section`]]),
  ].map(([name = "", text = ""]) => `${name.padEnd(start.overrides === undefined ? 8 : 9)} ${text}`);
  if (altered !== null) return [...alteredText(altered), "", ...head];
  return [...head, "", ...(end === null ? [unfinishedText(unfinished)] : verdictLines(end.verdict, unit))];
}

const alteredText = (what: string): string[] => [
  `ALTERED: ${plainText(what, 300)}.`,
  "What lies here is not what was sealed, so no verdict is shown. See `staunch verify`; look for a copy that is intact.",
];

/** Whoever reads a failed air test is told that a water test speaks in its place. */
export const overriderLines = (overriders: readonly RecordLine[]): string[] =>
  overriders.map(
    ({ id, verdict }) =>
      `overridden by water test ${plainText(id, 60)}: ${verdict === null ? "no verdict yet" : plainText(verdict, 20).toUpperCase()}`,
  );

function unfinishedText(unfinished: Unfinished): string {
  if (unfinished === "running") return "RUNNING: no verdict yet.";
  const how = unfinished === "interrupted" ? "INTERRUPTED: the program stopped without an end" : "NO END";
  return `${how}; the next test in this archive closes the record.`;
}

function sectionText({ section }: RecordStart): string {
  const parts = [plainText(section.id, 80)];
  if (section.dn_mm !== null) parts.push(`DN ${section.dn_mm}`);
  if (section.material !== null) parts.push(plainText(section.material, 40));
  if (section.laid_length_m !== null) parts.push(`${section.laid_length_m} m`);
  return parts.join(", ");
}

/** Branches with their sizes, and what the crew told in words. */
function asTestedText({ limits, asTested = {} }: RecordStart): [string, string][] {
  const { plugs, caps = [], weather, witness } = asTested;
  const told: [string, string | undefined][] = [
    ["branches", limits.told?.also?.map(({ dn_mm, length_m }) => `DN ${Number(dn_mm.toPrecision(4))} × ${length_m} m`).join(", ")],
    ["plugs", plugs],
    ...caps.map((cap): [string, string] => ["cap", cap]),
    ["weather", weather],
    ["witness", witness],
  ];
  return told.flatMap(([name, text]): [string, string][] => (text === undefined ? [] : [[name, plainText(text, 200)]]));
}

function gaugeText(gauge: RecordStart["gauge"], unit: UnitName): string {
  const small = (value_Pa: number): string => `${Number(toUnit(value_Pa, unit).toPrecision(3))} ${unit}`;
  const parts = [...onFileText(gauge), plainText(gauge.url, 120), gauge.reference];
  if (gauge.resolution_Pa !== null) parts.push(`steps of ${small(gauge.resolution_Pa)}`);
  if (gauge.accuracy_Pa !== null) parts.push(`within ${small(gauge.accuracy_Pa)}`);
  if (gauge.accuracy_fraction !== null) parts.push(`within ${Number((gauge.accuracy_fraction * 100).toPrecision(3))} %`);
  return parts.join(", ");
}

/** What the file said of it when the test started. */
function onFileText({ name, serial, certificate, calibrated, due }: RecordStart["gauge"]): string[] {
  if (name === undefined) return [];
  const parts: [string, string | undefined][] = [
    ["serial no.", serial],
    ["certificate", certificate],
    ["calibrated", calibrated],
    ["due", due],
  ];
  return [plainText(name, 60), ...parts.flatMap(([word, text]) => (text === undefined ? [] : [`${word} ${plainText(text, 60)}`]))];
}

function limitsText({ limits }: RecordStart, unit: UnitName): string {
  const scale = pressureScale(unit, limits.permittedDrop_Pa);
  if (limits.water !== undefined) {
    const { low_Pa, high_Pa, permitted_L } = limits.water;
    const window = `head ${pressure(scale, low_Pa)} to ${pressure(scale, high_Pa)}`;
    return `${window}, conditioning ${duration(limits.settle_s)}, hold ${duration(limits.hold_s)}, at most ${litres(permitted_L)} added`;
  }
  const limit =
    limits.floor_Pa === null
      ? `drop at most ${pressure(scale, limits.permittedDrop_Pa)}`
      : `at least ${pressure(scale, limits.floor_Pa)} must remain`;
  const hold = limits.stop === "fixed-time" ? `hold ${duration(limits.hold_s)}` : `at least ${duration(limits.hold_s)} for the drop`;
  return `charge ${pressure(scale, limits.charge_Pa)}, settle ${duration(limits.settle_s)}, test ${pressure(scale, limits.test_Pa)}, ${hold}, ${limit}`;
}
