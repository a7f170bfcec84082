import type { Controller } from "./controller.ts";
import type { RadioLink } from "./radioLink.ts";

/** What all virtual controllers share: time, chance, who hears whom, and the list of what no real controller would have put up with. */
export class Air {
  /** So many virtual seconds in a real one. */
  readonly speed: number;
  readonly violations: string[] = [];
  readonly controllers = new Set<Controller>();
  readonly links = new Set<RadioLink>();
  /** Called when a controller begins to connect, before anything is heard. */
  onConnecting: () => void = () => {};
  readonly #timers = new Set<NodeJS.Timeout>();
  #chance: number;

  constructor({ speed = 1, seed = 1 }: { speed?: number; seed?: number } = {}) {
    this.speed = speed;
    this.#chance = seed >>> 0;
  }

  now_ms(): number {
    return performance.now() * this.speed;
  }

  /** Runs `action` after virtual milliseconds; returns its cancellation. */
  after(wait_ms: number, action: () => void): () => void {
    const timer = setTimeout(() => {
      this.#timers.delete(timer);
      action();
    }, Math.max(0, wait_ms) / this.speed);
    this.#timers.add(timer);
    return () => {
      clearTimeout(timer);
      this.#timers.delete(timer);
    };
  }

  /** 0 … 1, the same in every run. */
  random(): number {
    this.#chance = (Math.imul(this.#chance, 1_664_525) + 1_013_904_223) >>> 0;
    return this.#chance / 2 ** 32;
  }

  hear(one: Controller, other: Controller): boolean {
    return one !== other && one.isUp && other.isUp && !one.isAway && !other.isAway;
  }

  /** Takes a controller out of range of all others, or back. */
  move(controller: Controller, isAway: boolean): void {
    controller.isAway = isAway;
    for (const link of this.links) link.rangeChanged();
  }

  close(): void {
    for (const timer of this.#timers) clearTimeout(timer);
    this.#timers.clear();
    this.links.clear();
  }
}
