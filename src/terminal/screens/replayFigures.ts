import type { LiveView } from "../../core/judging/view.ts";
import type { Verdict } from "../../core/record.ts";
import { duration, litres, type PressureScale, pressure, probability, significant } from "../figures.ts";
import { clip } from "../parts/cells.ts";
import { type Line, plainLine } from "../parts/line.ts";
import { type ReplayState, shown } from "./replayState.ts";

interface Figure {
  label: string;
  /** The value itself, for comparing. */
  of(verdict: Verdict): unknown;
  /** The same for people. */
  words(verdict: Verdict, scale: PressureScale): string;
  /** How it stands before the end, `so far` for what still moves; absent: not known before. */
  soFar?(view: LiveView, scale: PressureScale): string | null;
}

const at = (seconds: number | null): string => (seconds === null ? "--" : `${duration(seconds)}.${Math.floor((seconds * 10) % 10)}`);
const codes = (findings: readonly { code: string }[]): string => findings.map(({ code }) => code).join(", ") || "none";

const FIGURES: readonly Figure[] = [
  { label: "verdict", of: (v) => v.verdict, words: (v) => v.verdict.toUpperCase() },
  { label: "reasons", of: (v) => v.reasons, words: (v) => codes(v.reasons) },
  {
    label: "drop",
    of: (v) => v.hold.drop_Pa,
    words: (v, scale) => pressure(scale, v.hold.drop_Pa),
    soFar: (view, scale) => (view.hold?.drop_Pa == null ? null : `${pressure(scale, view.hold.drop_Pa)} so far`),
  },
  {
    label: "permitted",
    of: (v) => v.hold.permitted_Pa,
    words: (v, scale) => pressure(scale, v.hold.permitted_Pa),
    soFar: (view, scale) => (view.hold === null ? null : pressure(scale, view.hold.permitted_Pa)),
  },
  {
    label: "hold from",
    of: (v) => v.hold.from_s,
    words: (v) => at(v.hold.from_s),
    soFar: (view) => (view.hold === null ? null : at(view.hold.from_s)),
  },
  { label: "hold to", of: (v) => v.hold.to_s, words: (v) => at(v.hold.to_s) },
  { label: "at its start", of: (v) => v.hold.start_Pa, words: (v, scale) => pressure(scale, v.hold.start_Pa) },
  { label: "at its end", of: (v) => v.hold.end_Pa, words: (v, scale) => pressure(scale, v.hold.end_Pa) },
  {
    label: "u of the drop",
    of: (v) => v.hold.u_drop_Pa,
    words: (v, scale) => pressure(scale, v.hold.u_drop_Pa),
  },
  { label: "time of drop", of: (v) => v.hold.time_s, words: (v) => (v.hold.time_s === null ? "--" : `${significant(v.hold.time_s, 5)} s`) },
  { label: "conforming", of: (v) => v.hold.probability_conforming, words: (v) => probability(v.hold.probability_conforming) },
  {
    label: "water put in",
    of: (v) => v.water,
    words: (v) => litres(v.water?.added_L ?? null),
    soFar: (view) => (view.water?.added_L == null ? null : `${litres(view.water.added_L)} so far`),
  },
  { label: "settled at", of: (v) => v.settled_at_s, words: (v) => at(v.settled_at_s) },
  { label: "leak", of: (v) => v.leak, words: (v) => (v.leak.rate_L_min === null ? "--" : `${significant(v.leak.rate_L_min, 3)} L/min`) },
  { label: "remarks", of: (v) => v.remarks, words: (v) => codes(v.remarks) },
  { label: "readings", of: (v) => v.readings, words: (v) => String(v.readings), soFar: (view) => `${view.gauge.readings} so far` },
  { label: "phases from", of: (v) => v.phases, words: (v) => v.phases.map(({ from_s }) => duration(from_s)).join(" ") },
];

const same = (a: unknown, b: unknown): boolean => JSON.stringify(a ?? null) === JSON.stringify(b ?? null);

interface Row {
  label: string;
  before: string;
  now: string;
  /** `null`: not to be told yet, or nothing to compare with. */
  same: boolean | null;
}

function rowsOf(state: ReplayState, view: LiveView, scale: PressureScale): Row[] {
  const { before } = shown(state);
  const { verdict } = view;
  const wanted = FIGURES.filter(
    (figure) =>
      [before, verdict].some((one) => one !== null && figure.of(one) != null) || (verdict === null && figure.soFar?.(view, scale) != null),
  );
  const rows = wanted.map((figure): Row => {
    const soFar = figure.soFar?.(view, scale) ?? null;
    return {
      label: figure.label,
      before: before === null ? "--" : figure.words(before, scale),
      now: verdict !== null ? figure.words(verdict, scale) : (soFar ?? "--"),
      same: before === null || verdict === null ? null : same(figure.of(before), figure.of(verdict)),
    };
  });
  // What parted is what is looked for.
  return [...rows.filter((row) => row.same === false), ...rows.filter((row) => row.same !== false)];
}

/** The verdict as recorded and as it comes out now, figure beside figure: `=` the same to the last digit, `≠` not. */
export function figureRows(state: ReplayState, view: LiveView, scale: PressureScale, columns: number, rows: number): Line[] {
  if (rows < 2) return [];
  const wide = Math.max(8, Math.floor((columns - 17) / 2));
  const set = (label: string, mark: string, before: string, now: string): string =>
    `${` ${label}`.padEnd(15)}${mark} ${clip(before, wide - 1).padEnd(wide)}${clip(now, wide)}`;
  const title = plainLine(
    clip(set("figure", " ", "recorded", state.showsWhatIf && state.whatIf !== null ? "what if" : "replayed"), columns).padEnd(columns),
    {
      dim: true,
      inverse: true,
    },
  );
  // An inspector wants the digits in which two verdicts may part.
  const all = rowsOf(state, view, { ...scale, width: 0, decimals: scale.decimals + 2 });
  const room = rows - 1;
  const kept = all.slice(0, all.length > room ? room - 1 : room);
  const body = kept.map((row) =>
    plainLine(
      set(row.label, row.same === null ? " " : row.same ? "=" : "≠", row.before, row.now),
      row.same === false ? { bold: true } : {},
    ),
  );
  if (kept.length < all.length) body.push(plainLine(` ${all.length - kept.length} more on a taller screen`, { dim: true }));
  while (body.length < room) body.push(plainLine(""));
  return [title, ...body];
}
