/** A settled leak with two parameters, and how it changes with each. */
export interface Leak {
  start(first_Pa: number, last_Pa: number, length_s: number): [number, number];
  value(a: number, k: number, t: number): number;
  byA(a: number, k: number, t: number): number;
  byK(a: number, k: number, t: number): number;
}

/** A crack or a seal: a·exp(−k t). */
export const laminar: Leak = {
  start: (first, last, length) => [first, Math.log(first / last) / length],
  value: (a, k, t) => a * Math.exp(-k * t),
  byA: (_, k, t) => Math.exp(-k * t),
  byK: (a, k, t) => -t * a * Math.exp(-k * t),
};

/** A hole: (a − k t)², which bends half as much. */
export const orifice: Leak = {
  start: (first, last, length) => [Math.sqrt(first), (Math.sqrt(first) - Math.sqrt(last)) / length],
  value: (a, k, t) => (a - k * t) ** 2,
  byA: (a, k, t) => 2 * (a - k * t),
  byK: (a, k, t) => -2 * t * (a - k * t),
};
