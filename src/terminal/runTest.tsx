import type { LiveView, Turn } from "../core/judging/view.ts";
import type { Clock } from "../core/link.ts";
import type { RecordStart } from "../core/record.ts";
import { CLEAR, type ScreenHost, takeScreen } from "./alternateScreen.ts";
import type { MountedTest } from "./liveTest.tsx";
import { type BellRinger, bellRinger } from "./parts/bells.ts";
import type { KeyMeaning } from "./parts/keys.ts";
import type { CurvePoint } from "./parts/trace.ts";
import { firstState, nextTestState, type TestAction, type TestEvent, type TestState } from "./screens/testState.ts";

export interface TestScreenOptions {
  /** Both must be terminals (`isTTY`); without one, print the lines of plain.ts instead. */
  stdin: NodeJS.ReadStream;
  stdout: NodeJS.WriteStream;
  start: RecordStart;
  /** The method's own unit, a name of core/units.ts. */
  unit: string;
  /** Whole sentences that must stand before charging, thrust among them. */
  cautions: readonly string[];
  /** The crew's own time, never a simulated pipe's: it paces frames and bells. */
  clock: Clock;
  /** A person wants something. `stop` may come twice; `close` only after the end. */
  onKey(action: TestAction): void;
  /** The screen fell over or its terminal is gone; it has given the terminal back and the test goes on without it. */
  onError(error: unknown): void;
  /** Where NO_COLOR and TERM are looked up. */
  env?: Record<string, string | undefined>;
  host?: ScreenHost;
}

export interface TestScreenHandle {
  /** What changed since the last call: the view, the turns raised and the readings that came. */
  update(view: LiveView, turns: readonly Turn[], points: readonly CurvePoint[]): void;
  /** Gives the terminal back; idempotent. */
  close(): void;
}

export const FRAME_MS = 100;
const TICK_MS = 1000;
const ALARM_AGAIN_MS = 4000;

/**
 * ink and react decide at their import how they behave. Outside the bundle (which fixes it) react's development build would keep a
 * record of every update; NO_COLOR is unknown to ink's colours; and `CI` would keep ink silent although somebody looks at it.
 */
async function loadInk(env: Record<string, string | undefined>): Promise<typeof import("./liveTest.tsx")> {
  const kept = { CI: env["CI"], CONTINUOUS_INTEGRATION: env["CONTINUOUS_INTEGRATION"] };
  env["NODE_ENV"] ??= "production";
  if (env["NO_COLOR"]) env["FORCE_COLOR"] = "0";
  for (const name of Object.keys(kept)) if (env[name] !== undefined) env[name] = "0";
  try {
    return await import("./liveTest.tsx");
  } finally {
    for (const [name, value] of Object.entries(kept)) if (value !== undefined) env[name] = value;
  }
}

/** NO_COLOR, present and not empty, asks for no colour (no-color.org); a dumb terminal has none. */
export const wantsColour = (env: Record<string, string | undefined>): boolean => !env["NO_COLOR"] && env["TERM"] !== "dumb";

/** Draws at most one frame in `FRAME_MS`, at once when the last is long past. */
function pacer(clock: Clock, draw: () => void): { want(): void; stop(): void } {
  let last_ms = Number.NEGATIVE_INFINITY;
  let cancel: (() => void) | null = null;
  const run = (): void => {
    cancel = null;
    last_ms = clock.now_ms();
    draw();
  };
  return {
    want() {
      if (cancel !== null) return;
      if (clock.now_ms() - last_ms >= FRAME_MS) run();
      else cancel = clock.at(last_ms + FRAME_MS, run);
    },
    stop: () => cancel?.(),
  };
}

function every(clock: Clock, period_ms: number, action: () => void): () => void {
  let cancel = clock.at(clock.now_ms() + period_ms, function again(): void {
    action();
    cancel = clock.at(clock.now_ms() + period_ms, again);
  });
  return () => cancel();
}

function ringTurns(bells: BellRinger, turns: readonly Turn[]): void {
  for (const turn of turns) if (turn.bell !== null) bells.ring(turn.bell);
}

/** The hands-free screen of one running test, on the alternate screen until it is closed. */
export async function runTestScreen(options: TestScreenOptions): Promise<TestScreenHandle> {
  const { stdin, stdout, clock, onKey, onError } = options;
  const env = options.env ?? process.env;
  const ink = await loadInk(process.env);
  let state: TestState = firstState({ ...options, columns: stdout.columns, rows: stdout.rows, colour: wantsColour(env) }, clock.now_ms());
  let mounted: MountedTest | null = null;
  let waiting: { view: LiveView; turns: Turn[]; points: CurvePoint[] } | null = null;
  let open = true;
  const undo: (() => void)[] = [];
  const write = (text: string): void => {
    if (stdout.writable) stdout.write(text);
  };
  const bells = bellRinger(clock, write);

  const fold = (event: TestEvent): TestAction | null => {
    const step = nextTestState(state, event);
    state = step.state;
    return step.action;
  };
  /** Readings may come faster than frames; they are folded together, once a frame. */
  const foldWaiting = (): void => {
    const news = waiting;
    waiting = null;
    if (news !== null) fold({ kind: "update", now_ms: clock.now_ms(), ...news });
  };
  const pace = pacer(clock, () => {
    foldWaiting();
    mounted?.draw(state);
  });
  const key = (meaning: KeyMeaning): void => {
    foldWaiting();
    const action = fold({ kind: "key", meaning });
    pace.want();
    if (action !== null) onKey(action);
  };
  const resized = (): void => {
    if (stdout.columns === state.columns && stdout.rows === state.rows) return;
    write(CLEAR);
    fold({ kind: "size", columns: stdout.columns, rows: stdout.rows });
    mounted?.draw(state);
  };
  const leave = takeScreen(write, options.host ?? process, () => {
    open = false;
    pace.stop();
    bells.stop();
    for (const step of undo) step();
    mounted?.unmount();
  });
  const fallen = (error: unknown): void => {
    if (!open) return;
    leave();
    onError(error);
  };
  // Before ink's own listener, so that what ink redraws is already laid out for the new size.
  stdout.prependListener("resize", resized);
  // Stays on after the end: a terminal that is gone also refuses the last escape sequence, and that must not be a crash.
  stdout.on("error", fallen);
  undo.push(() => stdout.off("resize", resized));
  try {
    mounted = ink.mountTest({ stdin, stdout }, state, key, fallen);
  } catch (error) {
    leave();
    throw error;
  }
  undo.push(
    every(clock, TICK_MS, () => {
      fold({ kind: "tick", now_ms: clock.now_ms() });
      pace.want();
    }),
    every(clock, ALARM_AGAIN_MS, () => {
      if (state.view?.alarm != null && !state.view.finished) bells.ring("alarm");
    }),
  );
  return {
    update(view, turns, points) {
      if (!open) return;
      waiting = {
        view,
        turns: [...(waiting?.turns ?? []), ...turns],
        points: waiting === null ? [...points] : waiting.points.concat(points),
      };
      ringTurns(bells, turns);
      pace.want();
    },
    close: leave,
  };
}
