import { describe, expect, test } from "vitest";
import type { LiveView } from "../../../src/core/judging/view.ts";
import { firstState, nextTestState, type TestEvent, type TestState } from "../../../src/terminal/screens/testState.ts";
import { CANNED, CAUTIONS, START } from "../canned.ts";

const fresh = (): TestState => firstState({ start: START, unit: "mbar", cautions: CAUTIONS, columns: 80, rows: 24, colour: false }, 0);

const viewOf = (name: string): LiveView => {
  const view = CANNED[name]?.view;
  if (view === undefined) throw new RangeError(name);
  return view;
};

const update = (name: string, now_ms = 0): TestEvent => ({ kind: "update", now_ms, view: viewOf(name), turns: [], points: [] });
const at = (name: string): TestState => nextTestState(fresh(), update(name)).state;
const key = (meaning: Extract<TestEvent, { kind: "key" }>["meaning"]): TestEvent => ({ kind: "key", meaning });

describe("keys", () => {
  // start · keys pressed · what the session hears · what is still being asked
  test.each([
    ["hold", ["interrupt"], ["stop"], null],
    ["hold", ["quit"], [], "stop"],
    ["hold", ["quit", "yes"], ["stop"], null],
    ["hold", ["quit", "no"], [], null],
    ["hold", ["quit", "interrupt"], ["stop"], null],
    ["hold", ["quit", "quit"], [], "stop"],
    ["hold", ["quit", "page"], [], "stop"],
    ["hold", ["yes"], [], null],
    ["hold", ["no"], [], null],
    ["hold", ["skip-vent"], [], null],
    ["hold", ["interrupt", "interrupt"], ["stop", "stop"], null],
    ["vent", ["skip-vent"], [], "skip-vent"],
    ["vent", ["skip-vent", "yes"], ["skip-vent"], null],
    ["vent", ["skip-vent", "no"], [], null],
    ["vent", ["skip-vent", "quit"], [], "skip-vent"],
    ["pass", ["quit"], ["close"], null],
    ["pass", ["interrupt"], ["close"], null],
    ["pass", ["yes"], [], null],
    ["pass", ["skip-vent"], [], null],
  ] as const)("in %s, %j gives %j", (name, keys, heard, asked) => {
    let state = at(name);
    const actions = [];
    for (const meaning of keys) {
      const step = nextTestState(state, key(meaning));
      state = step.state;
      if (step.action !== null) actions.push(step.action);
    }
    expect(actions).toEqual(heard);
    expect(state.confirm).toBe(asked);
  });

  test("before the first word from the gauge the test can be stopped", () => {
    expect(nextTestState(fresh(), key("interrupt")).action).toBe("stop");
    expect(nextTestState(fresh(), key("skip-vent")).action).toBeNull();
  });

  test("a page turned by hand stays turned until the phase changes", () => {
    let state = nextTestState(at("idle"), key("page")).state;
    state = nextTestState(state, update("idle", 100)).state;
    expect(state.turned).toBe(1);
    state = nextTestState(state, update("charge", 200)).state;
    expect(state).toMatchObject({ turned: 0, pagesFrom_ms: 200 });
  });

  test("a question is dropped when the test ends over it", () => {
    const asked = nextTestState(at("vent"), key("quit")).state;
    expect(nextTestState(asked, update("pass")).state.confirm).toBeNull();
    expect(nextTestState(asked, update("vent")).state.confirm).toBe("stop");
  });
});

describe("updates", () => {
  test("the last turns are kept, the oldest go", () => {
    let state = fresh();
    for (let i = 0; i < 30; i++) {
      const turns = [{ at_s: i, code: "x", text: `turn ${i}`, bell: null }];
      state = nextTestState(state, { kind: "update", now_ms: i, view: viewOf("hold"), turns, points: [] }).state;
    }
    expect(state.turns.map((turn) => turn.at_s)).toEqual([22, 23, 24, 25, 26, 27, 28, 29]);
  });

  test("readings gather in the curve; the state before is left alone", () => {
    const before = at("hold");
    const points = [
      { at_s: 1, pressure_Pa: 10 },
      { at_s: 2, pressure_Pa: 20 },
    ];
    const after = nextTestState(before, { kind: "update", now_ms: 5, view: viewOf("hold"), turns: [], points }).state;
    expect(before.trace.buckets).toHaveLength(0);
    expect(after.trace.buckets).toHaveLength(2);
    expect(after.heard_ms).toBe(5);
  });

  test("a tick moves only the clock", () => {
    const before = at("hold");
    expect(nextTestState(before, { kind: "tick", now_ms: 9000 })).toEqual({ state: { ...before, now_ms: 9000 }, action: null });
  });

  test.each([
    [120, 40, 120, 40],
    [0, 0, 80, 24],
    [undefined, undefined, 80, 24],
  ])("a size of %s by %s is %d by %d", (columns, rows, wide, high) => {
    expect(nextTestState(fresh(), { kind: "size", columns, rows }).state).toMatchObject({ columns: wide, rows: high });
  });
});
