import type { Bell } from "../../core/judging/view.ts";
import type { Clock } from "../../core/link.ts";

/**
 * When the terminal's bell rings, in milliseconds from the start of the pattern. Each pattern has its own rhythm, so that it can be
 * told with the back turned. Strokes stand 250 ms apart at least: terminals run closer ones together (common practice, no source).
 */
export const BELL_PATTERNS: Readonly<Record<Bell, readonly number[]>> = {
  turn: [0],
  ask: [0, 400],
  alarm: [0, 250, 500, 750, 1000, 1250, 1500, 1750],
  pass: [0, 250, 500, 1500],
  fail: [0, 1000, 2000, 3000],
  void: [0, 250, 1250, 1500],
};

/** A pattern under way gives place only to one at least as urgent. */
const URGENCY: Readonly<Record<Bell, number>> = {
  turn: 0,
  ask: 1,
  void: 2,
  fail: 2,
  pass: 2,
  alarm: 3,
};

const BEL = "\u0007";

export interface BellRinger {
  ring(bell: Bell): void;
  /** Falls silent; idempotent. */
  stop(): void;
}

/** Rings patterns on `clock`, which must run with the crew's own time (never a simulated pipe's). */
export function bellRinger(clock: Clock, write: (text: string) => void): BellRinger {
  let pending: (() => void)[] = [];
  let playing: { bell: Bell; until_ms: number } | null = null;
  const stop = (): void => {
    for (const cancel of pending) cancel();
    pending = [];
    playing = null;
  };
  return {
    stop,
    ring(bell) {
      const now_ms = clock.now_ms();
      if (playing !== null && now_ms < playing.until_ms && URGENCY[bell] < URGENCY[playing.bell]) return;
      stop();
      const pattern = BELL_PATTERNS[bell];
      playing = { bell, until_ms: now_ms + (pattern.at(-1) ?? 0) };
      for (const offset_ms of pattern) {
        // The first stroke does not wait for a timer: it may be the one that says stop pumping.
        if (offset_ms === 0) write(BEL);
        else pending.push(clock.at(now_ms + offset_ms, () => write(BEL)));
      }
    },
  };
}
