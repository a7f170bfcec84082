import type { Clock } from "../../core/link.ts";

/** Runs `action` when wanted, at once or as soon as `gap_ms` have gone by since it last ran. */
export function pacer(clock: Clock, gap_ms: number, action: () => void): { want(): void; stop(): void } {
  let last_ms = Number.NEGATIVE_INFINITY;
  let cancel: (() => void) | null = null;
  const run = (): void => {
    cancel = null;
    last_ms = clock.now_ms();
    action();
  };
  return {
    want() {
      if (cancel !== null) return;
      if (clock.now_ms() - last_ms >= gap_ms) run();
      else cancel = clock.at(last_ms + gap_ms, run);
    },
    stop() {
      cancel?.();
      cancel = null;
    },
  };
}

/** Runs `action` again and again, first after one period; returns its end. */
export function every(clock: Clock, period_ms: number, action: () => void): () => void {
  let cancel = clock.at(clock.now_ms() + period_ms, function again(): void {
    action();
    cancel = clock.at(clock.now_ms() + period_ms, again);
  });
  return () => cancel();
}
