import type { Clock } from "../../core/link.ts";

const BEL = "\u0007";

export interface Pulses {
  /** Time between two strokes from now on, at least 250 ms as it comes from core/live/hunt.ts; `null`: silence. */
  set(gap_ms: number | null): void;
  stop(): void;
}

/** Strokes of the terminal's bell at a rate that may change while they run, on the crew's own time. */
export function pulses(clock: Clock, write: (text: string) => void): Pulses {
  let last_ms = Number.NEGATIVE_INFINITY;
  let gap_ms: number | null = null;
  let cancel: (() => void) | null = null;
  const silence = (): void => {
    cancel?.();
    cancel = null;
  };
  const arm = (): void => {
    silence();
    if (gap_ms === null) return;
    // From the last stroke, not from now: a rate that changes ten times a second must not put the next stroke off for ever.
    cancel = clock.at(Math.max(clock.now_ms(), Math.round(last_ms + gap_ms)), () => {
      last_ms = clock.now_ms();
      write(BEL);
      arm();
    });
  };
  return {
    set(next_ms) {
      if (next_ms === gap_ms) return;
      gap_ms = next_ms;
      arm();
    },
    stop() {
      gap_ms = null;
      silence();
    },
  };
}
