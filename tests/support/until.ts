/** Longest wait for something that a real tty or process must do; far beyond what a busy machine needs. */
const BOUND_ms = 25_000;

/** Turns "tell me when anything happened" into "wait until this is so", with a bound and a name for the error. */
export class Watched {
  readonly #waiting = new Set<() => void>();

  changed(): void {
    for (const look of [...this.#waiting]) look();
  }

  until(what: string, isSo: () => boolean): Promise<void> {
    return new Promise((resolve, reject) => {
      const timer = setTimeout(() => {
        this.#waiting.delete(look);
        reject(new Error(`waited ${BOUND_ms} ms in vain: ${what}`));
      }, BOUND_ms);
      const look = () => {
        if (!isSo()) return;
        clearTimeout(timer);
        this.#waiting.delete(look);
        resolve();
      };
      this.#waiting.add(look);
      look();
    });
  }
}

/** Gives promises and real ports their turns, with `step` between them, until `isSo`. */
export async function turning(what: string, isSo: () => boolean, step: () => void = () => {}): Promise<void> {
  const end = performance.now() + BOUND_ms;
  while (!isSo()) {
    if (performance.now() > end) throw new Error(`waited ${BOUND_ms} ms in vain: ${what}`);
    await new Promise((resolve) => setImmediate(resolve));
    if (!isSo()) step();
  }
}
