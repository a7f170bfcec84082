import type { LiveView, Turn } from "../core/judging/view.ts";
import type { Clock } from "../core/link.ts";
import type { RecordStart } from "../core/record.ts";
import { CLEAR, type ScreenHost, takeScreen } from "./alternateScreen.ts";
import type { MountedTest } from "./liveTest.tsx";
import { bellRinger } from "./parts/bells.ts";
import type { CurvePoint } from "./parts/trace.ts";
import type { TestAction } from "./screens/testState.ts";
import { TestLoop } from "./testLoop.ts";

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
  /** One sentence to be seen now, such as why a figure typed was not taken. */
  notice(text: string): void;
  /** Gives the terminal back; idempotent. */
  close(): void;
}

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

/** The hands-free screen of one running test, on the alternate screen until it is closed. */
export async function runTestScreen(options: TestScreenOptions): Promise<TestScreenHandle> {
  const { stdin, stdout, clock, onKey, onError } = options;
  const env = options.env ?? process.env;
  const ink = await loadInk(process.env);
  const write = (text: string): void => {
    if (stdout.writable) stdout.write(text);
  };
  let mounted: MountedTest | null = null;
  let open = true;
  const loop = new TestLoop({
    facts: { ...options, columns: stdout.columns, rows: stdout.rows, colour: wantsColour(env) },
    clock,
    bells: bellRinger(clock, write),
    draw: (state) => mounted?.draw(state),
    onKey,
  });
  const resized = (): void => {
    if (stdout.columns === loop.state.columns && stdout.rows === loop.state.rows) return;
    write(CLEAR);
    loop.resize(stdout.columns, stdout.rows);
  };
  const leave = takeScreen(write, options.host ?? process, () => {
    open = false;
    loop.stop();
    stdout.off("resize", resized);
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
  try {
    mounted = ink.mountTest({ stdin, stdout }, loop.state, (meaning) => loop.key(meaning), fallen);
  } catch (error) {
    leave();
    throw error;
  }
  loop.start();
  return {
    notice: (text) => (open ? loop.notice(text) : undefined),
    update: (view, turns, points) => (open ? loop.update(view, turns, points) : undefined),
    close: leave,
  };
}
