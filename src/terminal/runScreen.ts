import type { ComponentType } from "react";
import { CLEAR, type ScreenHost, takeScreen } from "./alternateScreen.ts";
import type { KeyReader, Mounted } from "./mount.tsx";

/** What a screen's terminal must offer, and what it tells. */
export interface ScreenPlace {
  /** Both must be terminals (`isTTY`); without one, print plain lines instead. */
  stdin: NodeJS.ReadStream;
  stdout: NodeJS.WriteStream;
  /** The screen fell over or its terminal is gone; it has given the terminal back and the work goes on without it. */
  onError(error: unknown): void;
  /** Where NO_COLOR and TERM are looked up. */
  env?: Record<string, string | undefined>;
  host?: ScreenHost;
}

/** A running screen's state and when it is drawn. */
export interface ScreenLoop<S, M> {
  readonly state: S;
  /** Starts its timers; before that nothing is drawn by itself. */
  start(): void;
  stop(): void;
  resize(columns: number | undefined, rows: number | undefined): void;
  key(meaning: M): void;
}

/** What a loop is made with. */
export interface LoopPlace<S> {
  columns: number | undefined;
  rows: number | undefined;
  colour: boolean;
  /** To the terminal, beside the drawing: bells. */
  write(text: string): void;
  draw(state: S): void;
}

interface ScreenParts<S extends { columns: number; rows: number }, M, L extends ScreenLoop<S, M>> {
  /** Loads the drawing, and ink with it. */
  load(): Promise<ComponentType<{ state: S }>>;
  keys: KeyReader<M>;
  /** The terminal is asked to mark what is pasted, so that it is not taken for keys. */
  marksPaste?: boolean;
  loop(place: LoopPlace<S>): L;
}

/**
 * ink and react decide at their import how they behave. Outside the bundle (which fixes it) react's development build would keep a
 * record of every update; NO_COLOR is unknown to ink's colours; and `CI` would keep ink silent although somebody looks at it.
 */
async function withInkSettings<T>(env: Record<string, string | undefined>, load: () => Promise<T>): Promise<T> {
  const kept = { CI: env["CI"], CONTINUOUS_INTEGRATION: env["CONTINUOUS_INTEGRATION"] };
  env["NODE_ENV"] ??= "production";
  if (env["NO_COLOR"]) env["FORCE_COLOR"] = "0";
  for (const name of Object.keys(kept)) if (env[name] !== undefined) env[name] = "0";
  try {
    return await load();
  } finally {
    for (const [name, value] of Object.entries(kept)) if (value !== undefined) env[name] = value;
  }
}

/** NO_COLOR, present and not empty, asks for no colour (no-color.org); a dumb terminal has none. */
export const wantsColour = (env: Record<string, string | undefined>): boolean => !env["NO_COLOR"] && env["TERM"] !== "dumb";

/** xterm's bracketed paste (private mode 2004), on and off. */
const PASTE_MARKED = "\u001b[?2004h";
const PASTE_BARE = "\u001b[?2004l";

/** Takes the alternate screen until `close`, which is idempotent. After it, or after `onError`, `isOpen` is false and nothing is drawn. */
export async function runScreen<S extends { columns: number; rows: number }, M, L extends ScreenLoop<S, M>>(
  place: ScreenPlace,
  parts: ScreenParts<S, M, L>,
): Promise<{ loop: L; isOpen(): boolean; close(): void }> {
  const { stdin, stdout, onError } = place;
  const env = place.env ?? process.env;
  const [{ mountScreen }, screen] = await withInkSettings(process.env, () => Promise.all([import("./mount.tsx"), parts.load()]));
  const write = (text: string): void => {
    if (stdout.writable) stdout.write(text);
  };
  let mounted: Mounted<S> | null = null;
  let open = true;
  const { columns, rows } = stdout;
  const loop = parts.loop({ columns, rows, colour: wantsColour(env), write, draw: (state) => mounted?.draw(state) });
  const resized = (): void => {
    if (stdout.columns === loop.state.columns && stdout.rows === loop.state.rows) return;
    write(CLEAR);
    loop.resize(stdout.columns, stdout.rows);
  };
  const leave = takeScreen(write, place.host ?? process, () => {
    open = false;
    loop.stop();
    stdout.off("resize", resized);
    if (parts.marksPaste === true) write(PASTE_BARE);
    mounted?.unmount();
  });
  if (parts.marksPaste === true) write(PASTE_MARKED);
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
    const onKey = (meaning: M): void => loop.key(meaning);
    mounted = mountScreen({ streams: { stdin, stdout }, screen, first: loop.state, keys: parts.keys, onKey, onError: fallen });
  } catch (error) {
    leave();
    throw error;
  }
  loop.start();
  return { loop, isOpen: () => open, close: leave };
}
