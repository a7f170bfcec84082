import { describe, expect, test } from "vitest";
import { type Asking, afterAnswer, askWhenDue, neverAsked } from "../../../drivers/framing/asking.ts";

const pace = { interval_ms: 100, timeout_ms: 1000 };
const asking = (sent_ms: number, open: number, answered: boolean): Asking => ({ sent_ms, open, answered });

describe("one question at a time", () => {
  test.each<[string, Asking, number, boolean, number]>([
    ["the first is asked at once", neverAsked, 40, true, 1040],
    ["none is asked while one is open", asking(0, 1, false), 999, false, 1000],
    ["a time-out asks again", asking(0, 1, false), 1000, true, 2000],
    ["an answered one waits for the interval", asking(0, 0, true), 99, false, 100],
    ["then the next is asked", asking(0, 0, true), 100, true, 1100],
    ["one of two answers is not enough", asking(1000, 1, true), 1500, false, 2000],
    ["until the time-out shows that the other was lost", asking(1000, 1, true), 2000, true, 3000],
  ])("%s", (_, before, now_ms, ask, wakeAt_ms) => expect(askWhenDue(before, now_ms, pace)).toMatchObject({ ask, wakeAt_ms }));

  test("after a time-out two answers are awaited, and both restore the pairing", () => {
    const again = askWhenDue(asking(0, 1, false), 1000, pace).asking;
    expect(again.open).toBe(2);
    expect(afterAnswer(afterAnswer(again))).toEqual(asking(1000, 0, true));
  });

  test("a lost answer is forgotten with the next question", () => {
    expect(askWhenDue(asking(1000, 1, true), 2000, pace).asking.open).toBe(1);
  });

  test("an interval longer than the time-out is kept", () => {
    expect(askWhenDue(asking(0, 1, false), 700, { interval_ms: 800, timeout_ms: 500 })).toMatchObject({ ask: false, wakeAt_ms: 800 });
  });
});
