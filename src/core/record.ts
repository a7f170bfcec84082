import type { JournalEvent } from "./journal.ts";
import type { RecordSource } from "./link.ts";

/** The version of the judges' rules; raised with every change that can alter a verdict. */
export const JUDGE_VERSION = 1;

/** What a verdict may be. */
export const VERDICT_WORDS = ["pass", "fail", "inconclusive", "void"] as const;
export type VerdictWord = (typeof VERDICT_WORDS)[number];
export type Rule = "simple" | "guarded";
export type Phase = "idle" | "charge" | "settle" | "trim" | "hold" | "vent";

export type VoidCode =
  | "not-charged"
  | "not-settled"
  | "settle-too-short"
  | "start-out-of-tolerance"
  /** Water only: the level left its band about the test head. */
  | "level-out-of-band"
  | "topped-up"
  | "sudden-loss"
  | "sudden-step"
  | "gauge-silent"
  | "clock-stepped"
  | "hold-too-short"
  | "unit-changed"
  | "drift-decides-temperature"
  | "drift-decides-barometer"
  | "zero-drift-decides"
  | "groundwater-decides"
  | "gauge-not-proven"
  | "interrupted"
  | "bad-readings";
export type FailCode = "drop-over-limit" | "below-floor" | "gross-leak";
export type RemarkCode =
  | "cooling"
  | "warming"
  | "barometer-rising"
  | "barometer-falling"
  | "wind"
  | "rising-curve"
  | "borderline"
  | "gauge-too-coarse"
  | "zero-offset"
  | "gap"
  | "out-of-order"
  | "spikes"
  | "no-temperature"
  /** The temperature was measured, the barometer not. */
  | "no-barometer"
  | "too-good"
  | "volume-implausible"
  | "high-start"
  | "unsettled-start"
  | "groundwater"
  | "short-section"
  /** The gauge that answered is not the one on file. */
  | "other-gauge"
  /** The gauge on file does not suit the method: range, accuracy, no calibration. */
  | "gauge-unfit"
  /** Used past its due date, with the tester's reason. */
  | "calibration-out-of-date";

/** A finding with the figures it rests on (SI; names carry units: `drop_Pa`, `gap_s`). */
export interface Finding<C extends string> {
  code: C;
  text: string;
  figures: Record<string, number | null>;
}

export interface PhaseSpan {
  phase: Phase;
  from_s: number;
  to_s: number;
}

/** Numbers in SI; `null` means unknown. Pressures of a vacuum test are negative, drops always positive when air passed. */
export interface HoldFigures {
  from_s: number | null;
  to_s: number | null;
  required_s: number;
  start_Pa: number | null;
  end_Pa: number | null;
  drop_Pa: number | null;
  permitted_Pa: number;
  floor_Pa: number | null;
  u_drop_Pa: number | null;
  time_s: number | null;
  u_time_s: number | null;
  probability_conforming: number | null;
}

/** A crack or seal (flow follows the pressure) or a hole (its root). */
export type LeakFlow = "laminar" | "orifice";

export interface LeakFigures {
  decay_per_min: number | null;
  rate_L_min: number | null;
  free_air_L_min: number | null;
  /** Diameter of one sharp-edged round hole (ṁ = Cd A √(2 ρ Δp), Cd 0.61) that would lose as much; a figure of speech, one digit. */
  hole_mm: number | null;
  /** Which of the two the curve shows; absent when it cannot tell. */
  flow?: LeakFlow;
}

/** What a water test came to; heads at the top of the pipe at its upper end. */
export interface WaterFigures {
  /** Water put in less water taken out, a change of level counted where its surface is known; `null`: cannot be told. */
  added_L: number | null;
  u_added_L: number | null;
  permitted_L: number;
  area_m2: number;
  litres_per_m2: number;
  top_ups: number;
  /** Whether the litres were typed by the crew or read from the head in a standpipe. */
  volume: "entered" | "from-head";
  test_head_Pa: number | null;
  lowest_head_Pa: number | null;
  highest_head_Pa: number | null;
}

export interface MethodName {
  id: string;
  title: string;
  source: string;
}

/** `staunch/verdict/1`, exactly as `--json` prints it. */
export interface Verdict {
  schema: "staunch/verdict/1";
  verdict: VerdictWord;
  reasons: Finding<VoidCode | FailCode>[];
  judge: "live" | "whole-curve";
  judge_version: number;
  rule: Rule;
  source: RecordSource;
  record: string | null;
  program: string;
  method: MethodName;
  settled_at_s: number | null;
  phases: PhaseSpan[];
  hold: HoldFigures;
  leak: LeakFigures;
  remarks: Finding<RemarkCode>[];
  readings: number;
  /** Set for tests with water, whose drop figures are then `null`. */
  water?: WaterFigures;
}

/** A stretch of pipe as the tester described it. `dn_mm` is the size the specification names. */
export interface Section {
  id: string;
  dn_mm: number | null;
  material: string | null;
  laid_length_m: number | null;
}

/** What the crew told of the section as it stood; free words, untrusted. Each may be absent: not told. Sizes told stand in `limits.told`. */
export interface AsTested {
  /** How both ends were plugged. */
  plugs?: string;
  /** Open ends and branches that were closed off: where, with what. */
  caps?: string[];
  weather?: string;
  witness?: string;
}

/** What is known of the gauge; drives the uncertainty. `null`: not told, then taken from the curve or left out. */
export interface GaugeFacts {
  url: string;
  protocol: string;
  /** What the driver was made with, so that a replay makes the same one; absent: nothing. */
  driverOptions?: Record<string, string>;
  reference: "vented" | "absolute";
  resolution_Pa: number | null;
  /** Half-width of the error of a reading as a fraction of it (0.001 = 0.1 %). */
  accuracy_fraction: number | null;
  /** Half-width of the error of a reading in pascal. */
  accuracy_Pa: number | null;
  /** Effective area of the vent, measured on a section of known volume, m²; absent: never measured. */
  ventArea_m2?: number;
  /** What follows is there only for a gauge on file: as the file had it when the test started. */
  name?: string;
  serial?: string;
  certificate?: string;
  /** Days, `2026-03-01`; the due day itself still counts. */
  calibrated?: string;
  due?: string;
  range_Pa?: [low_Pa: number, high_Pa: number];
  /** What the gauge on file calls itself (`*IDN?`); untrusted. */
  identity?: string;
  /** The USB adapter on file and the one seen at the start: `0403:6001 A50285BI`; untrusted. */
  usbOnFile?: string;
  usb?: string;
  /** Why it is used although its calibration is out of date. */
  outOfDateReason?: string;
  /** How far its zero usually moves in a test, by the zeros kept, Pa. */
  zeroDrift_Pa?: number;
}

/** All that is known before the first byte; written when a test starts and never changed. */
export interface RecordStart {
  /** Shown to people: time-ordered, unique, e.g. `20261125-101502-k3f9`. */
  id: string;
  started_wall_ms: number;
  source: RecordSource;
  section: Section;
  stage: string;
  asTested?: AsTested;
  tester: string | null;
  rule: Rule;
  strict: boolean;
  /** The method worked out for this section, whole, so that a replay needs no method list. */
  limits: import("./methods/limits.ts").Limits;
  gauge: GaugeFacts;
  program: string;
  judge_version: number;
  /** Gauges beside the one on the pipe; an event's `line` is its place here, from 1. */
  also?: { role: import("./beside.ts").BesideRole; gauge: GaugeFacts }[];
  /** The record of the failed air test that this water test overrides. */
  overrides?: string;
}

/** How a record ended; absent while it runs or after a crash. */
export interface RecordEnd {
  ended_wall_ms: number;
  verdict: Verdict;
}

export interface StoredRecord {
  start: RecordStart;
  end: RecordEnd | null;
}

/** Appends a record's journal. `append` never blocks the caller's stamping and never throws for a busy archive. */
export interface RecordWriter {
  append(event: JournalEvent): void;
  /** Writes the rest of the journal and the verdict in one transaction; resolves after the commit. */
  end(end: RecordEnd): Promise<void>;
  /** Trouble the disk gave (full, read-only); the session shows it at once. */
  onTrouble(listener: (error: unknown) => void): void;
}
