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

describe("the pace follows the gauge", () => {
  let mostOpen = 0;

  /** Times of the questions to a gauge that takes `answer_ms(t)` for one asked at t; `null`: it does not answer. */
  function asked(until_ms: number, answer_ms: (at_ms: number) => number | null): number[] {
    const questions: number[] = [];
    const answers: number[] = [];
    let state = neverAsked;
    let now_ms = 0;
    mostOpen = 0;
    while (now_ms <= until_ms) {
      if (answers[0] === now_ms) {
        answers.shift();
        state = afterAnswer(state);
      }
      const turn = askWhenDue(state, now_ms, pace);
      ({ asking: state } = turn);
      mostOpen = Math.max(mostOpen, state.open);
      if (turn.ask) {
        questions.push(now_ms);
        const takes_ms = answer_ms(now_ms);
        // A gauge works its questions off one after the other.
        if (takes_ms !== null) answers.push(Math.max(now_ms, answers.at(-1) ?? 0) + takes_ms);
      }
      now_ms = Math.min(answers[0] ?? Number.POSITIVE_INFINITY, Math.max(turn.wakeAt_ms, now_ms + 1));
    }
    return questions;
  }
  const gaps = (times: readonly number[]): number[] => times.slice(1).map((at_ms, i) => at_ms - (times[i] ?? 0));

  test("a quick gauge is asked at the interval", () => {
    expect(new Set(gaps(asked(5000, () => 30)))).toEqual(new Set([100]));
    expect(mostOpen).toBe(1);
  });

  test("a slower one is asked the moment it has answered, and at the interval again when it is quick again", () => {
    const times = asked(9000, (at_ms) => (at_ms < 3000 || at_ms >= 6000 ? 20 : 430));
    expect(new Set(gaps(times.filter((at_ms) => at_ms >= 3000 && at_ms < 6000)))).toEqual(new Set([430]));
    expect(new Set(gaps(times.filter((at_ms) => at_ms >= 6430)))).toEqual(new Set([100]));
  });

  test("one that does not answer is asked at the time-out, and no later", () => {
    const mute = gaps(asked(60_000, () => null));
    expect(new Set(mute)).toEqual(new Set([1000]));
    expect(Math.max(...gaps(asked(60_000, (at_ms) => (at_ms % 7 === 0 ? null : 1700))))).toBeLessThanOrEqual(1700);
  });

  test("one slower than the time-out still has each answer counted for, and never more than two questions open", () => {
    const times = asked(60_000, () => 1200);
    expect(times.length).toBeGreaterThan(30);
    expect(mostOpen).toBe(2);
    expect(Math.min(...gaps(times))).toBeGreaterThanOrEqual(100);
  });
});
