import type { LiveView } from "../core/judging/view.ts";
import type { Verdict, WaterFigures } from "../core/record.ts";
import { isSamePart } from "../core/verdictDifferences.ts";
import { duration, type PressureScale, pressure, probability, significant } from "./figures.ts";

/** A figure of a verdict, told in words with units. */
export interface Figure {
  label: string;
  of(verdict: Verdict): unknown;
  words(verdict: Verdict, scale: PressureScale): string;
  /** Of a figure that is a number. */
  difference?(before: Verdict, now: Verdict, scale: PressureScale): string | null;
  /** How it stands before the end; absent: not known before. `moves`: it goes on changing. */
  soFar?(view: LiveView, scale: PressureScale): { words: string; moves: boolean } | null;
  /** Told only where the two part. */
  onlyApart?: boolean;
}

type SoFar = Figure["soFar"];

/** A number, the way it is written, and how far it has come. */
function number(
  label: string,
  of: (verdict: Verdict) => number | null | undefined,
  write: (value: number, scale: PressureScale) => string,
  soFar?: SoFar,
): Figure {
  const written = (value: number | null | undefined, scale: PressureScale): string => (value == null ? "--" : write(value, scale));
  return {
    label,
    of,
    words: (verdict, scale) => written(of(verdict), scale),
    difference: (before, now, scale) => {
      const [was, is] = [of(before), of(now)];
      if (was == null || is == null) return null;
      return isSamePart(was, is) ? write(0, scale) : `${is > was ? "+" : "-"}${write(Math.abs(is - was), scale)}`;
    },
    ...(soFar === undefined ? {} : { soFar }),
  };
}

const pascal = (value: number, scale: PressureScale): string => pressure(scale, value);
const time = (value_s: number): string => `${duration(value_s)}.${Math.floor((value_s * 10) % 10)}`;
const unitOf = (unit: string, digits: number) => (value: number) => `${significant(value, digits)} ${unit}`;
const litre = (value_L: number): string => `${value_L.toFixed(3)} L`;
const codes = (findings: readonly { code: string }[]): string => findings.map(({ code }) => code).join(", ") || "none";
const water = (label: string, of: (figures: WaterFigures) => number | null, write: typeof pascal, soFar?: SoFar): Figure =>
  number(label, ({ water: figures }) => (figures === undefined ? null : of(figures)), write, soFar);

const so = (words: string | null, moves = true): { words: string; moves: boolean } | null => (words === null ? null : { words, moves });

/** All that a verdict says in figures and words, in the order people are told it. */
export const FIGURES: readonly Figure[] = [
  {
    label: "verdict",
    of: (v) => v.verdict,
    words: (v) => v.verdict.toUpperCase(),
    soFar: ({ hold }) => so(hold === null ? null : hold.willFail ? "will fail" : "within the limit"),
  },
  { label: "method", of: (v) => v.method.id, words: (v) => v.method.id, onlyApart: true },
  { label: "rule", of: (v) => v.rule, words: (v) => v.rule, onlyApart: true },
  { label: "reasons", of: (v) => v.reasons, words: (v) => codes(v.reasons) },
  number(
    "drop",
    (v) => v.hold.drop_Pa,
    pascal,
    ({ hold }, scale) => so(hold?.drop_Pa == null ? null : pressure(scale, hold.drop_Pa)),
  ),
  number(
    "permitted",
    (v) => v.hold.permitted_Pa,
    pascal,
    ({ hold }, scale) => so(hold && pressure(scale, hold.permitted_Pa), false),
  ),
  number(
    "hold from",
    (v) => v.hold.from_s,
    time,
    ({ hold }) => so(hold && time(hold.from_s), false),
  ),
  number("hold to", (v) => v.hold.to_s, time),
  number("hold asked", (v) => v.hold.required_s, time),
  number("at its start", (v) => v.hold.start_Pa, pascal),
  number("at its end", (v) => v.hold.end_Pa, pascal),
  number("must remain", (v) => v.hold.floor_Pa, pascal),
  number("u of drop", (v) => v.hold.u_drop_Pa, pascal),
  number("time of drop", (v) => v.hold.time_s, unitOf("s", 5)),
  number("u of time", (v) => v.hold.u_time_s, unitOf("s", 2)),
  // Of a probability the words never claim certainty, which a difference cannot keep.
  {
    label: "conforming",
    of: (v) => v.hold.probability_conforming,
    words: (v) => (v.hold.probability_conforming === null ? "--" : probability(v.hold.probability_conforming)),
  },
  water(
    "water put in",
    (w) => w.added_L,
    litre,
    ({ water: now }) => so(now?.added_L == null ? null : litre(now.added_L)),
  ),
  water("u of water", (w) => w.u_added_L, litre),
  water("permitted", (w) => w.permitted_L, litre),
  water("top-ups", (w) => w.top_ups, String),
  water("test head", (w) => w.test_head_Pa, pascal),
  water("lowest head", (w) => w.lowest_head_Pa, pascal),
  water("highest head", (w) => w.highest_head_Pa, pascal),
  number("settled at", (v) => v.settled_at_s, time),
  number(
    "decay/min",
    (v) => v.leak.decay_per_min,
    (value) => `${significant(value * 100, 3)} %`,
  ),
  number("leak", (v) => v.leak.rate_L_min, unitOf("L/min", 3)),
  number("in free air", (v) => v.leak.free_air_L_min, unitOf("L/min", 3)),
  number("as one hole", (v) => v.leak.hole_mm, unitOf("mm", 2)),
  { label: "flow", of: (v) => v.leak.flow, words: (v) => v.leak.flow ?? "--" },
  { label: "remarks", of: (v) => v.remarks, words: (v) => codes(v.remarks) },
  number(
    "readings",
    (v) => v.readings,
    String,
    ({ gauge }) => so(String(gauge.readings)),
  ),
  { label: "phases from", of: (v) => v.phases, words: (v) => v.phases.map(({ from_s }) => duration(from_s)).join(" ") },
];
