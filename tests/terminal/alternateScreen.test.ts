import { EventEmitter } from "node:events";
import { describe, expect, test } from "vitest";
import { type ScreenHost, takeScreen } from "../../src/terminal/alternateScreen.ts";

class Host extends EventEmitter implements ScreenHost {
  readonly pid = 4711;
  readonly killed: string[] = [];

  kill(pid: number, signal: string): void {
    this.killed.push(`${pid} ${signal}`);
  }
}

function taken(host = new Host()) {
  const log: string[] = [];
  const leave = takeScreen(
    (text) => log.push(text),
    host,
    () => log.push("before"),
  );
  return { host, log, leave };
}

const ENTERED = "\u001b[?1049h\u001b[2J\u001b[H";
const RESTORED = [ENTERED, "before", "\u001b[?25h\u001b[?1049l"];

describe("the screen is given back", () => {
  test("by hand, once, and nothing is left listening", () => {
    const { host, log, leave } = taken();
    expect(log).toEqual([ENTERED]);
    leave();
    leave();
    expect(log).toEqual(RESTORED);
    expect(host.eventNames()).toEqual([]);
  });

  test.each(["SIGINT", "SIGTERM", "SIGHUP"])("at %s, which is then raised again", (signal) => {
    const { host, log } = taken();
    host.emit(signal);
    expect(log).toEqual(RESTORED);
    expect(host.killed).toEqual([`4711 ${signal}`]);
  });

  test("at a signal somebody else minds, without raising it again", () => {
    const host = new Host();
    host.on("SIGTERM", () => {});
    const { log } = taken(host);
    host.emit("SIGTERM");
    expect(log).toEqual(RESTORED);
    expect(host.killed).toEqual([]);
  });

  test.each(["exit", "uncaughtExceptionMonitor"])("at %s", (event) => {
    const { host, log } = taken();
    host.emit(event);
    expect(log).toEqual(RESTORED);
    expect(host.killed).toEqual([]);
  });

  test("even when what comes first falls over", () => {
    const log: string[] = [];
    const leave = takeScreen(
      (text) => log.push(text),
      new Host(),
      () => {
        throw new Error("cannot unmount");
      },
    );
    expect(leave).toThrow("cannot unmount");
    expect(log.at(-1)).toBe(RESTORED[2]);
  });
});
