import type { Clock } from "../../src/core/link.ts";

/** The machine's own time, for benches and programs on a real tty. */
export const realClock: Clock = {
  now_ms: () => Math.floor(performance.now()),
  wall_ms: () => Date.now(),
  at(due_ms, action) {
    const timer = setTimeout(action, Math.max(0, due_ms - performance.now()));
    return () => clearTimeout(timer);
  },
};
