import type { Clock } from "../core/link.ts";
import { pulseGap_ms } from "../core/live/hunt.ts";
import { every, pacer } from "./parts/pacing.ts";
import type { Pulses } from "./parts/pulses.ts";
import { firstLiveState, type LiveAction, type LiveFacts, type LiveLook, type LiveState, nextLiveState } from "./screens/liveState.ts";

const FRAME_MS = 100;
const TICK_MS = 1000;

export interface LiveLoopParts {
  facts: LiveFacts & { columns: number | undefined; rows: number | undefined; colour: boolean; sound: boolean };
  clock: Clock;
  pulses: Pulses;
  /** What the gauge shows now; asked once a frame, however fast readings come. */
  look(): LiveLook;
  draw(state: LiveState): void;
  onKey(action: Exclude<LiveAction, "sound">): void;
}

/** The live screen's state and when it is drawn: at most ten times a second, at least once. */
export class LiveLoop {
  state: LiveState;
  readonly #parts: LiveLoopParts;
  readonly #pace: ReturnType<typeof pacer>;
  #untick: () => void = () => undefined;

  constructor(parts: LiveLoopParts) {
    this.#parts = parts;
    this.state = firstLiveState(parts.facts);
    this.#pace = pacer(parts.clock, FRAME_MS, () => this.#draw());
  }

  start(): void {
    this.#untick = every(this.#parts.clock, TICK_MS, () => this.#pace.want());
  }

  stop(): void {
    this.#untick();
    this.#pace.stop();
    this.#parts.pulses.stop();
  }

  /** Something has come from the gauge. */
  news(): void {
    this.#pace.want();
  }

  notice(text: string): void {
    this.state = nextLiveState(this.state, { kind: "notice", now_ms: this.#parts.clock.now_ms(), text });
    this.#pace.want();
  }

  resize(columns: number | undefined, rows: number | undefined): void {
    this.state = nextLiveState(this.state, { kind: "size", columns, rows });
    this.#draw();
  }

  key(action: LiveAction): void {
    if (action !== "sound") return this.#parts.onKey(action);
    this.state = nextLiveState(this.state, { kind: "sound" });
    this.#pace.want();
  }

  #draw(): void {
    const { clock, look, pulses, draw } = this.#parts;
    this.state = nextLiveState(this.state, { kind: "look", now_ms: clock.now_ms(), look: look() });
    const loss = this.state.look?.view.loss;
    pulses.set(this.state.sound && loss?.plain ? pulseGap_ms(loss.loss_Pa_min) : null);
    draw(this.state);
  }
}
