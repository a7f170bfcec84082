import { Console } from "node:console";
import { EventEmitter } from "node:events";
import { afterEach, expect, test, vi } from "vitest";
import { QueueClock } from "../../src/links/queueClock.ts";
import type { ReplayLoopParts } from "../../src/terminal/replayLoop.ts";
import { runReplayScreen } from "../../src/terminal/runReplay.tsx";
import { AS_TESTED, cannedFilm, factsOf } from "./cannedFilm.ts";
import { FakeScreen, fakeKeyboard } from "./fakeTerminal.ts";

class Host extends EventEmitter {
  readonly pid = 4711;
  readonly kill = vi.fn();
}

// ink takes the console's output out of the screen's way, with a part of it that the test runner's own console lacks.
Object.assign(console, { Console });

let open: { close(): void } | null = null;
afterEach(() => open?.close());

/** Answers with a film of other rules. */
const other = () => factsOf(cannedFilm(), { changes: ["rule guarded"], comparison: null });

async function started(speed: number, plays = true, ask: ReplayLoopParts["ask"] = async () => other()) {
  const clock = new QueueClock();
  const keyboard = fakeKeyboard();
  const screen = new FakeScreen(80, 24);
  const host = new Host();
  const onClose = vi.fn();
  const onError = vi.fn();
  const facts = { recorded: factsOf(cannedFilm()), whatIf: null, ...AS_TESTED, ask, speed, plays, clock };
  const handle = await runReplayScreen({ ...facts, stdin: keyboard, stdout: screen.asStream(), env: {}, host, onClose, onError });
  open = handle;
  return { clock, keyboard, screen, host, handle, onClose, onError };
}

/** ink may put a frame off by a millisecond of real time, so a drawing is waited for, with a bound. */
const shows = (screen: FakeScreen, text: string) => vi.waitFor(() => expect(screen.text).toContain(text), 5000);

test.each([
  [1, "0:05.0 of 11:30.0"],
  [10, "0:50.0 of 11:30.0"],
  [100, "8:20.0 of 11:30.0"],
  [1000, "11:30.0 of 11:30.0"],
])("plays by its clock at ×%d", async (speed, place) => {
  const { clock, screen } = await started(speed);
  clock.runUntil(5000);
  await shows(screen, place);
});

test("stands when it is not to play, and space starts it and stops it", async () => {
  const { clock, keyboard, screen } = await started(10, false);
  clock.runUntil(5000);
  await shows(screen, "‖ ×10 · 0:00.0 of 11:30.0");
  // One key after the other, as fingers do.
  for (const [key, seen] of [
    [" ", "▶ ×10"],
    ["g", "go to time: _"],
    ["9:10", "go to time: 9:10_"],
    ["\r", "▶ ×10 · 9:1"],
    [" ", "‖ ×10 · 9:1"],
  ] as const) {
    keyboard.write(key);
    await vi.waitFor(() => {
      clock.runUntil(clock.now_ms() + 100);
      expect(screen.text.includes(seen)).toBe(true);
    });
  }
  await shows(screen, "[ HOLD ]");
  // Nothing more is drawn by itself.
  clock.runUntil(clock.now_ms() + 1000);
  const { length } = screen.text;
  clock.runUntil(clock.now_ms() + 60_000);
  expect(screen.text.length).toBe(length);
});

test("q and Ctrl-C ask to be closed; the terminal is given back, once, with keyboard and cursor", async () => {
  const { clock, keyboard, screen, host, handle, onClose, onError } = await started(1);
  expect(screen.text.startsWith("\u001b[?1049h")).toBe(true);
  expect(keyboard.raw).toBe(true);
  keyboard.write("q");
  await vi.waitFor(() => expect(onClose).toHaveBeenCalledTimes(1));
  keyboard.write("\u0003");
  await vi.waitFor(() => expect(onClose).toHaveBeenCalledTimes(2));
  handle.close();
  handle.close();
  expect(screen.text.endsWith("\u001b[?25h\u001b[?1049l")).toBe(true);
  expect(keyboard.raw).toBe(false);
  expect(clock.nextDue_ms()).toBeNull();
  expect(host.eventNames()).toEqual([]);
  expect(onError).not.toHaveBeenCalled();
});

test("lays itself out anew when the terminal changes; one that is gone ends it", async () => {
  const { screen, keyboard, onError } = await started(1, false);
  await shows(screen, "[ IDLE ]");
  screen.resize(120, 40);
  await shows(screen, "v figures · ? keys");
  screen.emit("error", new Error("write EIO"));
  expect(onError).toHaveBeenCalledTimes(1);
  expect(keyboard.raw).toBe(false);
});

/** Presses one key and waits, virtual time going on, until the screen shows it. */
async function presses({ clock, keyboard, screen }: Awaited<ReturnType<typeof started>>, key: string, seen: string): Promise<void> {
  const { length } = screen.text;
  keyboard.write(key);
  await vi.waitFor(() => {
    clock.runUntil(clock.now_ms() + 100);
    expect(screen.text.slice(length)).toContain(seen);
  }, 5000);
}

test("r and u judge it again on the spot, one at a time, and say how far that is", async () => {
  const asked: unknown[] = [];
  let answer: (facts: ReturnType<typeof other> | null) => void = () => undefined;
  const window = await started(1, false, (wanted, tell) => {
    asked.push(wanted);
    tell(0.42);
    return new Promise((resolve) => {
      answer = resolve;
    });
  });
  await presses(window, "r", "Judging it again … 42 %");
  window.keyboard.write("u");
  await presses(window, "v", "difference");
  expect(asked).toEqual([{ rule: "guarded", unfiltered: false }]);
  answer(other());
  await presses(window, " ", "rule guarded · nothing recorded is changed");
  await presses(window, "u", "Judging it again … 42 %");
  expect(asked[1]).toEqual({ rule: "guarded", unfiltered: true });
  // That is as recorded after all.
  answer(null);
  await presses(window, "b", " REPLAY · sealed ");
});

test("what cannot be judged is said, and an answer after the end draws nothing", async () => {
  const window = await started(1, false, () => Promise.reject(new Error("no such rule\u001b[2J")));
  await presses(window, "r", "It cannot be judged so: no such rule");
  window.handle.close();
  const { length } = window.screen.text;
  window.keyboard.write("r");
  await Promise.resolve();
  expect(window.screen.text.length).toBe(length);
});
