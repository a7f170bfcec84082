import type { Curve } from "../curve.ts";
import type { Limits } from "../methods/limits.ts";
import type { GaugeFacts, PhaseSpan, Rule } from "../record.ts";

/** Something that happened to the pipe or its stamps, placed on the curve's own time axis. */
export type Incident =
  /** Air put in or let out on purpose; `step_Pa` is the change in the size of the charge (+ in, − out). */
  | { kind: "topped-up" | "bled"; at_s: number; step_Pa: number }
  /** A plug moved: a step, or a collapse when `step_Pa` is a large part of what was left. */
  | { kind: "step" | "collapse"; at_s: number; step_Pa: number }
  | { kind: "gap"; at_s: number; gap_s: number }
  | { kind: "clock-step"; at_s: number; step_s: number }
  | { kind: "unit-change"; at_s: number; factor: number };

/** How the section stood when the clock started. */
export interface Settled {
  /** When the charge band was first reached, s. */
  charged_s: number | null;
  /** End of the last pumping or bleeding before the hold, s. */
  lastAction_s: number | null;
  /** Time served at or about the charge pressure before the hold, s. */
  served_s: number | null;
  /** When the transient still to come over the whole hold first fell below the allowance, s. */
  settled_s: number | null;
  /** Transient still to come over the hold: + adds to the drop (cooling after pumping), − hides it (rebound after a bleed). */
  coming_Pa: number | null;
  u_coming_Pa: number | null;
  /** The gauge's steps or the wind are too coarse to prove settling; time was served instead. */
  tooCoarse: boolean;
}

/** What cleaning found in the stamps and readings; drawn and counted, never hidden. */
export interface CleanNotes {
  duplicates: number;
  outOfOrder: number;
  /** Where single readings stood apart from their neighbours, on the curve's own time axis. */
  spikes: readonly { at_s: number; pressure_Pa: number }[];
}

/** Everything a verdict rests on; both judges fill one and hand it to `judgeHold`. */
export interface HoldCase {
  curve: Curve;
  limits: Limits;
  gauge: GaugeFacts;
  rule: Rule;
  /** The hold as made; `to_s` is where it ended, even when cut short. `null`: there was none. */
  hold: { from_s: number; to_s: number } | null;
  settled: Settled;
  incidents: Incident[];
  phases: PhaseSpan[];
  /** `false`: watched and not shown to see the pipe; `null`: cannot be known (a recording). */
  gaugeProven: boolean | null;
  /** The attempt was broken off by a person, a crash or a dead link. */
  interrupted: string | null;
  /** A fall through the whole start band in under 10 s, or three charges that never reached a start. */
  gross: { smallestDrop_Pa: number } | null;
  notes?: CleanNotes;
}
