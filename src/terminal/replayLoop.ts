import type { Clock } from "../core/link.ts";
import { every, pacer } from "./parts/pacing.ts";
import type { ReplayKey } from "./parts/replayKeys.ts";
import type { Asked } from "./screens/replayAsked.ts";
import type { ReplayFacts } from "./screens/replayPicture.ts";
import { firstReplay, nextReplay, type ReplayEvent, type ReplayScreenFacts, type ReplayState } from "./screens/replayState.ts";
import { FRAME_MS } from "./testLoop.ts";

export interface ReplayLoopParts {
  facts: ReplayScreenFacts;
  /** The viewer's own time. */
  clock: Clock;
  /** Judges it again under another rule or filter; `null`: that is as recorded. `tell` hears how far it has come. */
  ask(asked: Asked, tell: (share: number) => void): Promise<ReplayFacts | null>;
  /** Play from the first moment on. */
  plays: boolean;
  draw(state: ReplayState): void;
  onClose(): void;
}

/** The running screen's state and when it is drawn: ten times a second while it plays, else only after a key. */
export class ReplayLoop {
  state: ReplayState;
  readonly #parts: ReplayLoopParts;
  readonly #pace: ReturnType<typeof pacer>;
  #stopped = false;
  #stopTicking: () => void = () => undefined;

  constructor(parts: ReplayLoopParts) {
    this.#parts = parts;
    this.state = firstReplay(parts.facts);
    this.#pace = pacer(parts.clock, FRAME_MS, () => parts.draw(this.state));
  }

  start(): void {
    const { clock, plays } = this.#parts;
    if (plays) this.#fold({ kind: "key", key: "play", real_ms: clock.now_ms() });
    this.#stopTicking = every(clock, FRAME_MS, () => {
      if (this.state.player.running !== null) this.#fold({ kind: "tick", real_ms: clock.now_ms() });
    });
  }

  stop(): void {
    this.#stopped = true;
    this.#stopTicking();
    this.#pace.stop();
  }

  key(keys: readonly ReplayKey[]): void {
    for (const key of keys) {
      if (key === "close") return this.#parts.onClose();
      const { asking } = this.state;
      this.#fold({ kind: "key", key, real_ms: this.#parts.clock.now_ms() });
      if (this.state.asking !== null && asking === null) this.#ask(this.state.asking);
    }
  }

  resize(columns: number | undefined, rows: number | undefined): void {
    this.state = nextReplay(this.state, { kind: "size", columns, rows });
    this.#parts.draw(this.state);
  }

  #ask(asked: Asked): void {
    const tell = (share: number): void => this.#fold({ kind: "judging", share });
    const failed = (error: unknown): void =>
      this.#fold({ kind: "not-judged", why: error instanceof Error ? error.message : String(error) });
    this.#parts.ask(asked, tell).then((facts) => this.#fold({ kind: "judged", facts }), failed);
  }

  #fold(event: ReplayEvent): void {
    if (this.#stopped) return;
    this.state = nextReplay(this.state, event);
    this.#pace.want();
  }
}
