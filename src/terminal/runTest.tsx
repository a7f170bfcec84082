import type { LiveView, Turn } from "../core/judging/view.ts";
import type { Clock } from "../core/link.ts";
import type { RecordStart } from "../core/record.ts";
import { bellRinger } from "./parts/bells.ts";
import { meaningOf } from "./parts/keys.ts";
import type { CurvePoint } from "./parts/trace.ts";
import { runScreen, type ScreenPlace } from "./runScreen.ts";
import type { TestAction } from "./screens/testState.ts";
import { TestLoop } from "./testLoop.ts";

export interface TestScreenOptions extends ScreenPlace {
  start: RecordStart;
  /** The method's own unit, a name of core/units.ts. */
  unit: string;
  /** Whole sentences that must stand before charging, thrust among them. */
  cautions: readonly string[];
  /** The crew's own time, never a simulated pipe's: it paces frames and bells. */
  clock: Clock;
  /** A person wants something. `stop` may come twice; `close` only after the end. */
  onKey(action: TestAction): void;
}

export interface TestScreenHandle {
  /** What changed since the last call: the view, the turns raised and the readings that came. */
  update(view: LiveView, turns: readonly Turn[], points: readonly CurvePoint[]): void;
  /** One sentence to be seen now, such as why a figure typed was not taken. */
  notice(text: string): void;
  /** Gives the terminal back; idempotent. */
  close(): void;
}

/** The hands-free screen of one running test, on the alternate screen until it is closed. */
export async function runTestScreen(options: TestScreenOptions): Promise<TestScreenHandle> {
  const { clock, onKey } = options;
  const { loop, isOpen, close } = await runScreen(options, {
    load: async () => (await import("./screens/test.tsx")).TestScreen,
    keys: meaningOf,
    loop: ({ columns, rows, colour, write, draw }) =>
      new TestLoop({ facts: { ...options, columns, rows, colour }, clock, bells: bellRinger(clock, write), draw, onKey }),
  });
  return {
    notice: (text) => (isOpen() ? loop.notice(text) : undefined),
    update: (view, turns, points) => (isOpen() ? loop.update(view, turns, points) : undefined),
    close,
  };
}
