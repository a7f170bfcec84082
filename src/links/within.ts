import type { Clock } from "../core/link.ts";

/** Resolves when `work` settles or the bound has passed, whichever is first; never rejects. */
export function within(clock: Clock, bound_ms: number, work: Promise<unknown>): Promise<void> {
  return new Promise((resolve) => {
    const cancel = clock.at(clock.now_ms() + bound_ms, resolve);
    const done = () => {
      cancel();
      resolve();
    };
    work.then(done, done);
  });
}
