import { Console } from "node:console";
import { EventEmitter } from "node:events";
import { afterEach, describe, expect, test, vi } from "vitest";
import { QueueClock } from "../../src/links/queueClock.ts";
import { wantsColour } from "../../src/terminal/runScreen.ts";
import { runTestScreen, type TestScreenHandle } from "../../src/terminal/runTest.tsx";
import { CANNED, CAUTIONS, curveUntil, START } from "./canned.ts";
import { FakeScreen, fakeKeyboard } from "./fakeTerminal.ts";

const view = (name: string) => {
  const found = CANNED[name]?.view;
  if (found === undefined) throw new RangeError(name);
  return found;
};

class Host extends EventEmitter {
  readonly pid = 4711;
  readonly kill = vi.fn();
}

// ink takes the console's output out of the screen's way, with a part of it that the test runner's own console lacks.
Object.assign(console, { Console });

let open: TestScreenHandle | null = null;
afterEach(() => open?.close());

async function started(env: Record<string, string | undefined> = {}) {
  const clock = new QueueClock();
  const keyboard = fakeKeyboard();
  const screen = new FakeScreen(80, 24);
  const actions: string[] = [];
  const errors: unknown[] = [];
  const host = new Host();
  const handle = await runTestScreen({
    stdin: keyboard,
    stdout: screen.asStream(),
    start: START,
    unit: "mbar",
    cautions: CAUTIONS,
    clock,
    onKey: (action) => actions.push(action),
    onError: (error) => errors.push(error),
    env,
    host,
  });
  open = handle;
  return { clock, keyboard, screen, actions, errors, host, handle };
}

/** ink may put a frame off by a millisecond of real time, so a drawing is waited for, with a bound. */
const shows = (screen: FakeScreen, text: string | RegExp) =>
  vi.waitFor(() => (typeof text === "string" ? expect(screen.text).toContain(text) : expect(screen.text).toMatch(text)), 5000);

describe("the live screen", () => {
  test("takes the alternate screen first, gives it back last, with keyboard and cursor", async () => {
    const { keyboard, screen, handle, clock, host } = await started();
    await shows(screen, "Waiting for the first word from the gauge.");
    expect(screen.text.startsWith("\u001b[?1049h")).toBe(true);
    expect(keyboard.raw).toBe(true);
    handle.close();
    handle.close();
    expect(screen.text.endsWith("\u001b[?25h\u001b[?1049l")).toBe(true);
    expect(keyboard.raw).toBe(false);
    expect(clock.nextDue_ms()).toBeNull();
    expect(host.eventNames()).toEqual([]);
    const length = screen.text.length;
    handle.update(view("hold"), [], []);
    clock.runUntil(60_000);
    expect(screen.text.length).toBe(length);
  });

  test("draws what it is told", async () => {
    const { screen, handle, clock } = await started();
    handle.update(view("hold"), [{ at_s: 430, code: "hold", text: "The hold has begun.", bell: null }], curveUntil(550));
    clock.runUntil(200);
    await shows(screen, "The hold has begun.");
    await shows(screen, "3.1 of 15.0 mbar (21 %)");
  });

  test("draws at most ten frames a second, and the last state of all", async () => {
    const { screen, handle, clock } = await started();
    const before = screen.text.split("\u001b[?2026h").length;
    for (let i = 1; i <= 1000; i++) {
      handle.update({ ...view("hold"), ask: { act: { act: "wait" }, say: `Word ${i}.` } }, [], []);
      clock.runUntil(i);
    }
    clock.runUntil(1200);
    await shows(screen, "Word 1000.");
    expect(screen.text.split("\u001b[?2026h").length - before).toBeLessThanOrEqual(12);
  });

  test("lays itself out anew when the terminal changes, on a cleared screen", async () => {
    const { screen, handle, clock } = await started();
    handle.update(view("hold"), [], []);
    clock.runUntil(200);
    await shows(screen, "[ HOLD ]");
    screen.text = "";
    screen.resize(120, 40);
    await shows(screen, `${"─".repeat(20)} hold for 2:00 ─`);
    expect(screen.text.startsWith("\u001b[2J\u001b[H")).toBe(true);
    screen.text = "";
    screen.resize(120, 40);
    expect(screen.text).not.toContain("\u001b[2J");
  });

  test("keys become actions", async () => {
    const { keyboard, screen, actions, handle, clock } = await started();
    handle.update(view("hold"), [], []);
    clock.runUntil(200);
    await shows(screen, "[ HOLD ]");
    keyboard.write("q");
    await vi.waitFor(() => {
      clock.runUntil(clock.now_ms() + 100);
      expect(screen.text).toContain("Stop the test?");
    });
    keyboard.write("y");
    await vi.waitFor(() => expect(actions).toEqual(["stop"]));
    keyboard.write("\u0003");
    await vi.waitFor(() => expect(actions).toEqual(["stop", "stop"]));
    handle.update(view("pass"), [], []);
    keyboard.write("q");
    await vi.waitFor(() => expect(actions).toEqual(["stop", "stop", "close"]));
  });

  test("rings at a turn at once, and again and again while an alarm stands", async () => {
    const { screen, handle, clock } = await started();
    const strokes = () => screen.text.split("\u0007").length - 1;
    handle.update(view("charge"), [{ at_s: 45, code: "x", text: "x", bell: "turn" }], []);
    expect(strokes()).toBe(1);
    handle.update(view("alarm"), [], []);
    clock.runUntil(3900);
    expect(strokes()).toBe(1);
    clock.runUntil(3900 + 8000);
    expect(strokes()).toBe(1 + 16);
    handle.update(view("hold"), [], []);
    clock.runUntil(30_000);
    expect(strokes()).toBe(1 + 16);
  });

  test("a session that falls silent is seen without any update", async () => {
    const { screen, handle, clock } = await started();
    handle.update(view("hold"), [], []);
    clock.runUntil(12_000);
    await shows(screen, "nothing heard from the test itself for 12 s");
  });

  test("a terminal that is gone ends the screen, not the test", async () => {
    const { keyboard, screen, errors, handle, clock } = await started();
    const gone = new Error("write EIO");
    screen.emit("error", gone);
    expect(errors).toEqual([gone]);
    expect(keyboard.raw).toBe(false);
    screen.emit("error", gone);
    expect(errors).toHaveLength(1);
    handle.update(view("hold"), [], []);
    clock.runUntil(10_000);
  });

  test("a signal gives the terminal back", async () => {
    const { keyboard, screen, host } = await started();
    host.emit("SIGTERM");
    expect(screen.text.endsWith("\u001b[?25h\u001b[?1049l")).toBe(true);
    expect(keyboard.raw).toBe(false);
    expect(host.kill).toHaveBeenCalledWith(4711, "SIGTERM");
  });
});

describe("NO_COLOR", () => {
  // no-color.org: present and not an empty string.
  test.each([
    [{}, true],
    [{ NO_COLOR: "" }, true],
    [{ NO_COLOR: "1" }, false],
    [{ NO_COLOR: "0" }, false],
    [{ TERM: "dumb" }, false],
    [{ TERM: "xterm-256color" }, true],
  ])("%j: colour %s", (env, colour) => {
    expect(wantsColour(env)).toBe(colour);
  });

  test.each([
    [{ NO_COLOR: "1" }, false],
    [{}, true],
  ])("with %j the screen itself: %s", async (env, colour) => {
    const { screen, handle, clock } = await started(env);
    handle.update(view("pass"), [], []);
    clock.runUntil(200);
    await shows(screen, "PASS: tight by this method");
    expect(["31", "32", "33", "36"].some((code) => screen.text.includes(`\u001b[${code}m`))).toBe(colour);
  });
});
