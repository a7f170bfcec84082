import type { Reading } from "../driver.ts";
import type { EndCause } from "../journal.ts";
import type { Phase, RecordStart, Verdict } from "../record.ts";
import type { Ask, Bell, GaugeHealth, LiveView, Turn } from "./view.ts";

/** What a fold needs of a live judge; air and water each have their own. */
export interface Judge {
  readonly start: RecordStart;
  readonly health: {
    link(up: boolean): void;
    unused(bytes: number): void;
    named(identity: string): void;
    view(now_s: number): GaugeHealth;
  };
  readonly phases: {
    readonly stage: { readonly phase: Phase; readonly ask: Ask; readonly finished: boolean };
    turn(at_s: number, code: string, text: string, bell: Bell | null): void;
  };
  readonly finished: boolean;
  readonly verdict: Verdict | null;
  /** Seconds since the first event. */
  seconds(at_ms: number): number;
  /** Any event moves time on. */
  time(at_ms: number, wall_ms: number): void;
  reading(reading: Reading, wall_ms: number): void;
  key(action: string, at_ms: number): void;
  zero(zero_Pa: number): void;
  end(cause: EndCause, detail: string, at_ms: number): Verdict;
  /** Turns raised since the last call. */
  takeTurns(): Turn[];
  view(at_ms: number): LiveView;
}
