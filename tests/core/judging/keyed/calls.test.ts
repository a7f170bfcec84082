import { expect, it } from "vitest";
import { Calls, callsOf } from "../../../../src/core/judging/keyed/calls.ts";

it.each([
  [300, [60, 120, 180, 240, 300]],
  [90, [60, 90]],
  [75, [75]],
  // 18 min: every two minutes, the last at its end.
  [1080, [120, 240, 360, 480, 600, 720, 840, 960, 1080]],
])("a hold of %i s calls at %j", (hold_s, calls) => expect(callsOf(hold_s)).toEqual(calls));

it("never more than eleven", () => {
  for (let hold_s = 30; hold_s < 7200; hold_s += 7) expect(callsOf(hold_s).length).toBeLessThanOrEqual(11);
});

it("counts an answer for its call, a little early too, but never before the end", () => {
  const calls = new Calls(180);
  expect(calls.answered(20)).toBeNull();
  expect(calls.answered(56)).toBe(-4);
  expect(calls.due(60)).toBeNull();
  expect(calls.due(121)).toBe(120);
  expect(calls.waiting).toBe(true);
  expect(calls.answered(140)).toBe(20);
  expect(calls.answered(178)).toBeNull();
  expect(calls.due(180)).toBe(180);
  expect(calls.answered(183)).toBe(3);
  expect(calls.answers).toEqual([
    { call_s: 60, at_s: 56 },
    { call_s: 120, at_s: 140 },
    { call_s: 180, at_s: 183 },
  ]);
});

it("remembers what nobody answered", () => {
  const calls = new Calls(180);
  calls.due(60);
  calls.due(120);
  calls.due(180);
  calls.giveUp();
  expect(calls.answers.map(({ at_s }) => at_s)).toEqual([null, null, null]);
});
