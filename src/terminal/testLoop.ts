import type { LiveView, Turn } from "../core/judging/view.ts";
import type { Clock } from "../core/link.ts";
import type { BellRinger } from "./parts/bells.ts";
import type { KeyMeaning } from "./parts/keys.ts";
import { every, pacer } from "./parts/pacing.ts";
import type { CurvePoint } from "./parts/trace.ts";
import { firstState, nextTestState, type TestAction, type TestEvent, type TestScreenFacts, type TestState } from "./screens/testState.ts";

export const FRAME_MS = 100;
const TICK_MS = 1000;
const ALARM_AGAIN_MS = 4000;

export interface TestLoopParts {
  facts: TestScreenFacts;
  clock: Clock;
  bells: BellRinger;
  draw(state: TestState): void;
  onKey(action: TestAction): void;
}

/** The running screen's state and when it is drawn: at most once in `FRAME_MS`, and once a second without any news. */
export class TestLoop {
  state: TestState;
  readonly #parts: TestLoopParts;
  readonly #pace: ReturnType<typeof pacer>;
  #waiting: { view: LiveView; turns: Turn[]; points: CurvePoint[] } | null = null;
  #undo: (() => void)[] = [];

  constructor(parts: TestLoopParts) {
    const { clock } = parts;
    this.#parts = parts;
    this.state = firstState(parts.facts, clock.now_ms());
    this.#pace = pacer(clock, FRAME_MS, () => this.#draw());
  }

  /** Starts its timers; before that nothing is drawn by itself. */
  start(): void {
    const { clock, bells } = this.#parts;
    this.#undo = [
      every(clock, TICK_MS, () => {
        this.#fold({ kind: "tick", now_ms: clock.now_ms() });
        this.#pace.want();
      }),
      every(clock, ALARM_AGAIN_MS, () => {
        if (this.state.view?.alarm != null && !this.state.view.finished) bells.ring("alarm");
      }),
    ];
  }

  stop(): void {
    this.#pace.stop();
    this.#parts.bells.stop();
    for (const step of this.#undo) step();
    this.#undo = [];
  }

  update(view: LiveView, turns: readonly Turn[], points: readonly CurvePoint[]): void {
    this.#waiting ??= { view, turns: [], points: [] };
    this.#waiting.view = view;
    this.#waiting.turns.push(...turns);
    this.#waiting.points.push(...points);
    for (const turn of turns) if (turn.bell !== null) this.#parts.bells.ring(turn.bell);
    this.#pace.want();
  }

  notice(text: string): void {
    const { view } = this.state;
    if (view !== null) this.update(view, [{ at_s: view.at_s, code: "notice", text, bell: "ask" }], []);
  }

  key(meaning: KeyMeaning): void {
    this.#foldWaiting();
    const action = this.#fold({ kind: "key", meaning });
    this.#pace.want();
    if (action !== null) this.#parts.onKey(action);
  }

  resize(columns: number | undefined, rows: number | undefined): void {
    this.#fold({ kind: "size", columns, rows });
    this.#draw();
  }

  #fold(event: TestEvent): TestAction | null {
    const step = nextTestState(this.state, event);
    this.state = step.state;
    return step.action;
  }

  /** Readings may come faster than frames; they are folded together, once a frame. */
  #foldWaiting(): void {
    const news = this.#waiting;
    this.#waiting = null;
    if (news !== null) this.#fold({ kind: "update", now_ms: this.#parts.clock.now_ms(), ...news });
  }

  #draw(): void {
    this.#foldWaiting();
    this.#parts.draw(this.state);
  }
}
