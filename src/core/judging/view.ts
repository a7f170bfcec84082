import type { CrewAct } from "../driver.ts";
import type { Phase, Verdict } from "../record.ts";

/** What the crew hears and reads now. `say` is one sentence with units; `act` is the same for a simulated crew. */
export interface Ask {
  act: CrewAct;
  say: string;
}

/** A sound pattern: a turn of phase, something asked of the crew, danger, the three ends. */
export type Bell = "turn" | "ask" | "alarm" | "pass" | "fail" | "void";

/** One line of the plain log; raised once, at the moment it becomes true. */
export interface Turn {
  at_s: number;
  code: string;
  text: string;
  bell: Bell | null;
}

/** The hold as it stands, drop figures positive when air has been lost. */
export interface HoldView {
  from_s: number;
  elapsed_s: number;
  drop_Pa: number | null;
  permitted_Pa: number;
  /** Drop at the end of the hold by the fall so far, with its 95 % band. */
  projected_Pa: number | null;
  projectedLow_Pa: number | null;
  projectedHigh_Pa: number | null;
  willFail: boolean;
}

/** A water test as it stands. */
export interface WaterView {
  /** Since the 30 min began; `null` before. */
  added_L: number | null;
  permitted_L: number;
  topUps: number;
  /** The head the level is kept at; `null` while it is not known. */
  test_Pa: number | null;
  willFail: boolean;
  /** What a bare figure typed now would mean; `null`: nothing is to be typed. */
  expects: "litres" | "head" | null;
}

/** A test of air read by eye, as it stands. */
export interface KeyedView {
  /** Readings may be typed. */
  expects: boolean;
  readings: number;
  /** The last figure typed is hard to believe and waits to be typed again or put right. */
  doubted: boolean;
  /** Since the last was entered, s. */
  lastAge_s: number | null;
  /** A reading is called for, since so many seconds; `null`: none is. */
  called_s: number | null;
  /** Until the next call, s. */
  next_s: number | null;
}

/** Settling as it stands. */
export interface SettleView {
  /** Left of the method's own time, s. */
  minimumLeft_s: number;
  /** Transient still to come over the hold and the allowance it must fall below; `null` while unknown. */
  coming_Pa: number | null;
  allowance_Pa: number;
  /** Why it takes long, when it does. */
  late: string | null;
}

/** All that a screen draws, folded from the journal; a fresh object for every event that changed it. */
export interface LiveView {
  at_s: number;
  phase: Phase;
  phaseSince_s: number;
  ask: Ask;
  /** Latest usable pressure and when it was read; `null` before the first. */
  pressure_Pa: number | null;
  pressureAt_s: number | null;
  /** Countdown of the phase (settle: of the method's own time; hold: to its end), s. */
  timeLeft_s: number | null;
  settle: SettleView | null;
  hold: HoldView | null;
  /** Water tests only, in place of the hold's drop. */
  water?: WaterView;
  /** Tests of air read by eye only. */
  keyed?: KeyedView;
  gauge: GaugeHealth;
  alarm: string | null;
  /** Set when the test is over; the session then ends the record. */
  finished: boolean;
  verdict: Verdict | null;
}

export interface GaugeHealth {
  up: boolean;
  readings: number;
  rate_Hz: number | null;
  /** Since the last usable reading, s. */
  silent_s: number | null;
  outages: number;
  unusedBytes: number;
  identity: string | null;
}
