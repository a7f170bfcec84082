import { expect, it, vi } from "vitest";
import { quietKeys } from "../../src/terminal/quietKeys.ts";
import { fakeKeyboard } from "./fakeTerminal.ts";

function quiet() {
  const keyboard = fakeKeyboard();
  const interrupt = vi.fn(() => keyboard.raw);
  return { keyboard, interrupt, release: quietKeys(keyboard, interrupt) };
}
/** A stream hands on what was written in a later turn. */
const aTurn = () => new Promise<void>((resolve) => void setImmediate(resolve));

it("keys typed meanwhile are not kept for whoever listens next", async () => {
  const { keyboard, interrupt, release } = quiet();
  expect(keyboard.raw).toBe(true);
  keyboard.write("qq");
  await aTurn();
  release(false);
  expect([keyboard.raw, keyboard.listenerCount("data"), interrupt.mock.calls.length]).toEqual([false, 0, 0]);
  const later: string[] = [];
  keyboard.on("data", (keys: Buffer) => later.push(keys.toString()));
  keyboard.resume();
  keyboard.write("n");
  await aTurn();
  expect(later).toEqual(["n"]);
});

it("a screen that has taken the terminal keeps it silent", () => {
  const { keyboard, release } = quiet();
  release(true);
  release(false);
  expect([keyboard.raw, keyboard.listenerCount("data")]).toEqual([true, 0]);
});

it("Ctrl-C interrupts, once, when the terminal is as it was", async () => {
  const { keyboard, interrupt, release } = quiet();
  keyboard.write("ab\u0003\u0003");
  await aTurn();
  keyboard.write("\u0003");
  await aTurn();
  release(true);
  expect(interrupt.mock.results).toEqual([{ type: "return", value: false }]);
  expect(keyboard.raw).toBe(false);
});
