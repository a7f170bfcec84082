import { Console } from "node:console";
import { EventEmitter } from "node:events";
import { afterEach, describe, expect, test, vi } from "vitest";
import { LiveGauge } from "../../src/core/live/liveGauge.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { type LiveScreenHandle, runLiveScreen } from "../../src/terminal/runLive.ts";
import { LIVE_FACTS } from "./cannedLive.ts";
import { FakeScreen, fakeKeyboard } from "./fakeTerminal.ts";

// ink takes the console's output out of the screen's way, with a part of it that the test runner's own console lacks.
Object.assign(console, { Console });

let open: LiveScreenHandle | null = null;
afterEach(() => open?.close());

/** A screen over a gauge that loses `loss_Pa_s` all the time; `runTo` lets both live. */
async function started(loss_Pa_s: number, { sound = false, env = {} }: { sound?: boolean; env?: Record<string, string> } = {}) {
  const clock = new QueueClock();
  const keyboard = fakeKeyboard();
  const screen = new FakeScreen(80, 24);
  const actions: string[] = [];
  const gauge = new LiveGauge({ reference: "vented", volume_m3: 1 });
  gauge.time(0);
  gauge.link(true);
  const handle = await runLiveScreen({
    stdin: keyboard,
    stdout: screen.asStream(),
    facts: LIVE_FACTS,
    sound,
    clock,
    look: () => ({ view: gauge.view(), recent: gauge.recent() }),
    onKey: (action) => actions.push(action),
    onError: (error) => expect.fail(String(error)),
    env,
    host: Object.assign(new EventEmitter(), { pid: 4711, kill: vi.fn() }),
  });
  open = handle;
  const runTo = (until_s: number): void => {
    for (let at_ms = clock.now_ms() + 200; at_ms <= until_s * 1000; at_ms += 200) {
      clock.runUntil(at_ms);
      gauge.reading({ at_ms, pressure_Pa: 20_000 - (loss_Pa_s * at_ms) / 1000 + ((at_ms / 200) % 2), unit: null });
      handle.news();
    }
  };
  return { clock, keyboard, screen, actions, handle, runTo };
}

const strokes = (screen: FakeScreen): number => screen.text.split("\u0007").length - 1;
const shows = (screen: FakeScreen, text: string) => vi.waitFor(() => expect(screen.text).toContain(text), 5000);

describe("the live screen", () => {
  test("takes the terminal and gives it back, with no timer left", async () => {
    const { screen, keyboard, handle, clock, runTo } = await started(1);
    runTo(20);
    await shows(screen, "6.12 of 10 mmH2O/min");
    expect(screen.text.startsWith("\u001b[?1049h")).toBe(true);
    handle.close();
    expect(screen.text.endsWith("\u001b[?25h\u001b[?1049l")).toBe(true);
    expect(keyboard.raw).toBe(false);
    expect(clock.nextDue_ms()).toBeNull();
  });

  test("keys become actions, and sound is its own", async () => {
    const { keyboard, actions, screen, runTo, clock } = await started(1);
    runTo(12);
    await shows(screen, "s sound on");
    keyboard.write("z");
    await vi.waitFor(() => expect(actions).toEqual(["zero"]));
    expect(strokes(screen)).toBe(0);
    keyboard.write("s");
    await vi.waitFor(() => {
      runTo(clock.now_ms() / 1000 + 0.4);
      expect(screen.text).toContain("s sound off");
    });
    keyboard.write("q");
    await vi.waitFor(() => expect(actions).toEqual(["zero", "stop"]));
  });

  test("the bell follows the loss and is silent without one", async () => {
    const tight = await started(0, { sound: true });
    tight.runTo(60);
    expect(strokes(tight.screen)).toBe(0);
    tight.handle.close();
    // 25 mmH2O a minute rings twice a second, a hundred times as much no more than four times.
    const small = await started((25 * 9.80665) / 60, { sound: true });
    small.runTo(20);
    const before = strokes(small.screen);
    small.runTo(40);
    expect(Math.abs(strokes(small.screen) - before - 40)).toBeLessThanOrEqual(4);
    small.handle.close();
    const large = await started((2500 * 9.80665) / 60, { sound: true });
    large.runTo(20);
    const rung = strokes(large.screen);
    large.runTo(40);
    expect(strokes(large.screen) - rung).toBeLessThanOrEqual(81);
    expect(strokes(large.screen) - rung).toBeGreaterThanOrEqual(60);
  });

  test("honours NO_COLOR", async () => {
    const { screen, runTo, handle } = await started(1, { env: { NO_COLOR: "1" } });
    runTo(12);
    await shows(screen, "mmH2O/min");
    handle.close();
    expect(["31", "32", "33", "36"].some((code) => screen.text.includes(`\u001b[${code}m`))).toBe(false);
  });

  test("draws at most ten frames a second however fast readings come", async () => {
    const { screen, clock, handle } = await started(1);
    const frames = () => screen.text.split("\u001b[?2026h").length;
    const before = frames();
    for (let at_ms = 1; at_ms <= 1000; at_ms++) {
      clock.runUntil(at_ms);
      handle.news();
      handle.notice(`Word ${at_ms}.`);
    }
    clock.runUntil(1200);
    await shows(screen, "Word 1000.");
    expect(frames() - before).toBeLessThanOrEqual(13);
  });
});
