import type { LiveView } from "../core/judging/view.ts";
import type { Verdict } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { isSamePart } from "../core/verdictDifferences.ts";
import type { PressureScale } from "./figures.ts";
import { FIGURES, type Figure } from "./verdictFigureList.ts";

/** One figure of two verdicts for people, in words with units. */
export interface FigureRow {
  label: string;
  before: string;
  /** With "…" behind what still moves. */
  now: string;
  /** What the second has more than the first; empty where nothing can be taken off, or nothing is to be told yet. */
  difference: string;
  /** The same to six digits, not the same, or nothing to compare with. */
  mark: "=" | "≠" | " ";
}

/** Verdicts come out of archives from elsewhere. */
const told = (figure: Figure, verdict: Verdict, scale: PressureScale): string => plainText(figure.words(verdict, scale), 200);

function rowOf(figure: Figure, before: Verdict | null, now: Verdict, scale: PressureScale): FigureRow {
  const { label, of } = figure;
  if (before === null) return { label, before: "--", now: told(figure, now, scale), difference: "", mark: " " };
  const same = isSamePart(of(before), of(now));
  const difference = figure.difference?.(before, now, scale) ?? (same ? "" : "other");
  return { label, before: told(figure, before, scale), now: told(figure, now, scale), difference, mark: same ? "=" : "≠" };
}

function rowSoFar(figure: Figure, before: Verdict | null, view: LiveView, scale: PressureScale): FigureRow {
  const far = figure.soFar?.(view, scale) ?? null;
  const was = before === null ? "--" : told(figure, before, scale);
  return { label: figure.label, before: was, now: far === null ? "--" : `${far.words}${far.moves ? "…" : ""}`, difference: "", mark: " " };
}

const isThere = ({ of }: Figure, verdict: Verdict | null): boolean => verdict !== null && of(verdict) != null;

/**
 * The verdict as recorded (`null`: never) beside the one that comes out now or, before its end, as far as it has come. Those that part stand
 * first: they are what is looked for.
 */
export function verdictFigures(before: Verdict | null, now: Verdict | LiveView, scale: PressureScale): FigureRow[] {
  if (!("schema" in now)) {
    if (now.verdict !== null) return verdictFigures(before, now.verdict, scale);
    const known = FIGURES.filter((one) => one.onlyApart !== true && (isThere(one, before) || one.soFar?.(now, scale) != null));
    return known.map((one) => rowSoFar(one, before, now, scale));
  }
  const rows = FIGURES.filter((one) => isThere(one, before) || isThere(one, now)).flatMap((one) => {
    const row = rowOf(one, before, now, scale);
    return one.onlyApart === true && row.mark !== "≠" ? [] : [row];
  });
  return [...rows.filter(({ mark }) => mark === "≠"), ...rows.filter(({ mark }) => mark !== "≠")];
}

interface Told {
  scale: PressureScale;
  /** What the second column shows. */
  name: string;
  /** Those that part alone; nothing at all where none does. */
  onlyApart: boolean;
}

/** The same as lines of running text. */
export function figureLines(before: Verdict, now: Verdict, { scale, name, onlyApart }: Told): string[] {
  const rows = verdictFigures(before, now, finer(scale)).filter(({ mark }) => !onlyApart || mark === "≠");
  if (rows.length === 0) return [];
  const line = (mark: string, [label = "", was = "", is = "", apart = ""]: readonly string[]): string =>
    `${mark} ${label.padEnd(15)} ${was.padEnd(20)} ${is.padEnd(20)} ${apart}`.trimEnd();
  return [
    line(" ", ["figure", "recorded", name, "difference"]),
    ...rows.map(({ mark, label, before: was, now: is, difference }) => line(mark, [label, was, is, difference])),
  ];
}

/** An inspector wants the digits in which two verdicts may part. */
export const finer = (scale: PressureScale): PressureScale => ({ ...scale, width: 0, decimals: scale.decimals + 2 });
