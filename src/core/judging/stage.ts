import type { Phase, PhaseSpan } from "../record.ts";
import type { Settled } from "./holdCase.ts";
import type { Projection } from "./projection.ts";
import type { VentWatch } from "./ventWatch.ts";
import type { Ask, Bell, SettleView } from "./view.ts";

/** How a correction toward the test pressure is going. */
export interface Trimming {
  asked: "pump" | "bleed" | "hands-off" | null;
  asked_s: number;
  /** Actions seen when it was asked, to tell when the crew has answered. */
  actionsBefore: number;
  corrections: number;
  /** In the start band since; `null` outside. */
  inBand_s: number | null;
  /** The last correction was made to come right this long after it. */
  wait_s: number;
  /** Asked since then without an answer from the crew. */
  unanswered_s: number | null;
  /** Times the charge went through the band before the clock could start. */
  missed: number;
}

/** Where the test stands. Owned by one fold; every phase moves it on by one second. */
export interface Stage {
  phase: Phase;
  since_s: number;
  spans: PhaseSpan[];
  ask: Ask;
  turns: { at_s: number; code: string; text: string; bell: Bell | null }[];
  zero: { sum: number; n: number };
  peak: { size_Pa: number; at_s: number; from_s: number };
  charged_s: number | null;
  /** Left behind by the last windows that were quiet enough: what was still to come then. */
  calm: { at_s: number; coming_Pa: number; noise_Pa: number } | null;
  settled: Settled;
  settle: SettleView | null;
  trimming: Trimming;
  hold: { from_s: number; to_s: number } | null;
  /** The hold ended because the charge had gone, not by time or by its limit. */
  lost: boolean;
  projection: Projection | null;
  failSaid: boolean;
  /** Largest drop over one hold that the curve proves so far, cooling taken off. */
  smallestDrop_Pa: number;
  /** Falling through the whole start band in seconds, since. */
  grossSince_s: number | null;
  gross: { smallestDrop_Pa: number } | null;
  vent: VentWatch | null;
  /** Why the attempt ended without a person or a verdict on the pipe. */
  brokenOff: string | null;
  finished: boolean;
}

/** A test that has not begun. */
export const newStage = (ask: Ask): Stage => ({
  phase: "idle",
  since_s: 0,
  spans: [],
  ask,
  turns: [{ at_s: 0, code: "idle", text: ask.say, bell: null }],
  zero: { sum: 0, n: 0 },
  peak: { size_Pa: 0, at_s: 0, from_s: 0 },
  charged_s: null,
  calm: null,
  settled: {
    charged_s: null,
    lastAction_s: null,
    served_s: null,
    settled_s: null,
    coming_Pa: null,
    u_coming_Pa: null,
    tooCoarse: false,
  },
  settle: null,
  trimming: freshTrimming(),
  hold: null,
  lost: false,
  projection: null,
  failSaid: false,
  smallestDrop_Pa: 0,
  grossSince_s: null,
  gross: null,
  vent: null,
  brokenOff: null,
  finished: false,
});

export const freshTrimming = (): Trimming => ({
  asked: null,
  asked_s: 0,
  actionsBefore: 0,
  corrections: 0,
  inBand_s: null,
  wait_s: 0,
  unanswered_s: null,
  missed: 0,
});
