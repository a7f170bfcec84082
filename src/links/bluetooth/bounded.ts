/** A step of the Bluetooth stack that did not end. */
export class NoAnswer extends Error {
  readonly step: string;

  constructor(step: string, bound_ms: number) {
    super(`${step}: no answer in ${bound_ms / 1000} s`);
    this.step = step;
  }
}

/** `work`, or a `NoAnswer` naming the step: promises of the stack may stay pending for ever, so none is awaited bare. */
export function bounded<T>(bound_ms: number, step: string, work: Promise<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => reject(new NoAnswer(step, bound_ms)), bound_ms);
    work.then(resolve, reject).finally(() => clearTimeout(timer));
  });
}

export const pause = (pause_ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, pause_ms));
