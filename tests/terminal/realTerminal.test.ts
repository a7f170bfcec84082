import { type ChildProcessWithoutNullStreams, spawn } from "node:child_process";
import { once } from "node:events";
import { fileURLToPath } from "node:url";
import { afterEach, expect, test, vi } from "vitest";

const here = (name: string): string => fileURLToPath(new URL(name, import.meta.url));

const ENTERED = "\u001b[?1049h";
const RESTORED = "\u001b[?25h\u001b[?1049l";
const BOUND_ms = 25_000;

interface Window {
  text(): string;
  tell(line: string): void;
  sees(text: string): Promise<void>;
  /** How the program ended and how it left the keyboard: `exit 130 cooked`. */
  ended(): Promise<string>;
}

const running = new Set<ChildProcessWithoutNullStreams>();
afterEach(() => {
  for (const child of running) child.kill("SIGKILL");
  running.clear();
});

/** The program in a window of its own. CI is set: somebody at a terminal is to see the screen all the same. */
function opened(...wants: string[]): Window {
  const { NODE_ENV: _, NO_COLOR: __, ...env } = process.env;
  const child = spawn(
    "python3",
    [here("../support/window.py"), "80", "24", process.execPath, "--import", "tsx", here("../support/windowProgram.ts"), ...wants],
    {
      env: { ...env, CI: "1", TERM: "xterm-256color" },
    },
  );
  running.add(child);
  let text = "";
  let last = "";
  child.stdout.setEncoding("utf8").on("data", (chunk: string) => {
    text += chunk;
  });
  child.stderr.setEncoding("utf8").on("data", (chunk: string) => {
    last += chunk;
  });
  const closed = once(child, "close").then(() => running.delete(child));
  return {
    text: () => text,
    tell: (line) => child.stdin.write(`${line}\n`),
    sees: (wanted) =>
      vi.waitFor(() => (running.has(child) ? expect(text).toContain(wanted) : expect(`${text}${last}`).toContain(wanted)), BOUND_ms),
    ended: async () => {
      await closed;
      return last.trim();
    },
  };
}

/** Everything that is written once the screen has been given back; a library of ink's shows the cursor once more at exit, which does no harm. */
const after = (window: Window): string =>
  window
    .text()
    .slice(window.text().lastIndexOf(RESTORED) + RESTORED.length)
    .replace("\u001b[?25h", "")
    .trim();

test("Ctrl-C stops at once and leaves screen, cursor and keyboard as they were; a resize is drawn", async () => {
  const window = opened();
  await window.sees("[ HOLD ]");
  expect(window.text().startsWith(ENTERED)).toBe(true);
  window.tell("size 120 40");
  await window.sees(`${"─".repeat(50)} hold for`);
  window.tell("keys 03");
  expect(await window.ended()).toBe("exit 130 cooked");
  expect(after(window)).toBe("key stop");
});

test.each(["SIGINT", "SIGTERM", "SIGHUP"])("%s ends it and leaves the terminal as it was", async (signal) => {
  const window = opened();
  await window.sees("[ HOLD ]");
  window.tell(`signal ${signal}`);
  expect(await window.ended()).toBe(`signal ${signal} cooked`);
  expect(after(window)).toBe("");
});

test("a signal the program minds itself finds the terminal given back already", async () => {
  const window = opened("minds-signals");
  await window.sees("[ HOLD ]");
  window.tell("signal SIGTERM");
  expect(await window.ended()).toBe("exit 3 cooked");
  expect(window.text()).toContain("ended in good order");
  expect(window.text()).toContain(RESTORED);
});

test("a defect gives the terminal back before it is told", async () => {
  const window = opened("throw");
  expect(await window.ended()).toBe("exit 1 cooked");
  expect(window.text()).toContain("[ HOLD ]");
  expect(after(window)).toContain("a defect of ours");
});
