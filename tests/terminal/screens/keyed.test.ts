import { describe, expect, it } from "vitest";
import type { KeyMeaning } from "../../../src/terminal/parts/keys.ts";
import { layTest } from "../../../src/terminal/screens/testLayout.ts";
import { firstState, nextTestState, type TestState } from "../../../src/terminal/screens/testState.ts";
import { TubeCrew } from "../../support/tubeCrew.ts";

function stateOf(crew: TubeCrew, columns = 100, rows = 30): TestState {
  const { start } = crew;
  const first = firstState({ start, unit: "mmH2O", cautions: start.limits.cautions, columns, rows, colour: false }, 0);
  return nextTestState(first, { kind: "update", now_ms: 0, view: crew.view, turns: [], points: [] }).state;
}

const text = (state: TestState): string =>
  layTest(state)
    .map((line) => line.map((piece) => piece.text).join(""))
    .join("\n");

function press(state: TestState, ...meanings: KeyMeaning[]): { state: TestState; actions: string[] } {
  const actions: string[] = [];
  let now = state;
  for (const meaning of meanings) {
    const step = nextTestState(now, { kind: "key", meaning });
    now = step.state;
    if (step.action !== null) actions.push(step.action);
  }
  return { state: now, actions };
}

const inHold = (): TubeCrew => new TubeCrew().untilHold().readings("96", "92").called().wait(3);

describe("the screen of a test read by eye", () => {
  it("shows what is called for, what was entered, the drop so far", () => {
    const shown = text(stateOf(inHold()));
    expect(shown).toMatch(/Reading, now: type what the tube shows in mm/);
    expect(shown).toMatch(/read by eye .*called 0:03 ago .*8 readings entered · the last 1:0\d ago · the next is called in 0:57/);
    expect(shown).toMatch(/drop used .*8\.0 of 25\.0 mmH2O/);
    expect(shown).not.toMatch(/No reading|silent/);
  });

  it("takes a figure, both legs, a unit or a word", () => {
    const typed = press(stateOf(inHold()), "type 4", "type 9", "page", "type 48");
    expect(text(typed.state)).toContain("type mm or both legs, Enter: 49 48_");
    expect(press(typed.state, "enter").actions).toEqual(["entry 49 48"]);
    expect(press(stateOf(inHold()), "type 1", "type 0", "page", "type i", "no", "type H", "type g", "enter").actions).toEqual([
      "entry 10 inHg",
    ]);
    expect(press(stateOf(inHold()), "type 9,8", "enter").actions).toEqual(["entry 9,8"]);
    expect(press(stateOf(inHold()), "type p", "type umped", "enter").actions).toEqual(["entry pumped"]);
    expect(press(stateOf(inHold()), "skip-vent", "type tart", "page", "type 98", "enter").actions).toEqual(["entry start 98"]);
    expect(press(stateOf(inHold()), "type 9", "type 7", "erase", "type 8", "cancel").state.typed).toBe("");
  });

  it("q asks before it stops, s skips the vent check only in the vent", () => {
    expect(press(stateOf(inHold()), "type 9", "quit", "yes").actions).toEqual(["stop"]);
    const vent = stateOf(new TubeCrew().untilHold().readings("96", "92", "90", "88", "86"));
    expect(press(vent, "skip-vent", "yes").actions).toEqual(["skip-vent"]);
    expect(press(vent, "type 0", "enter").actions).toEqual(["entry 0"]);
  });

  it("space still turns pages while nothing is typed", () => expect(press(stateOf(new TubeCrew()), "page").state.turned).toBe(1));

  it("fits every terminal in every phase", () => {
    const crews = [new TubeCrew(), new TubeCrew().wait(9).type("110").wait(60), inHold()];
    for (const [columns, rows] of [
      [80, 24],
      [40, 12],
      [20, 6],
    ] as const)
      for (const one of crews) expect(layTest(stateOf(one, columns, rows))).toHaveLength(rows - 1);
  });
});
