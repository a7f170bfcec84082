import { describe, expect, it } from "vitest";
import type { KeyMeaning } from "../../../src/terminal/parts/keys.ts";
import { verdictLines } from "../../../src/terminal/plain.ts";
import { layTest } from "../../../src/terminal/screens/testLayout.ts";
import { firstState, nextTestState, type TestState } from "../../../src/terminal/screens/testState.ts";
import { WaterCrew } from "../../support/waterCrew.ts";

function stateOf(crew: WaterCrew, columns = 100, rows = 30): TestState {
  const { start } = crew;
  const first = firstState({ start, unit: "kPa", cautions: start.limits.cautions, columns, rows, colour: false }, 0);
  const view = crew.judge.view(1000 * crew.now_s);
  return nextTestState(first, { kind: "update", now_ms: 0, view, turns: [], points: [] }).state;
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

const inHold = (): WaterCrew => new WaterCrew().untilHold().wait(600).type("added 2.5");

describe("the screen of a water test", () => {
  it("shows litres of litres in the hold, and what is asked", () => {
    const shown = text(stateOf(inHold()));
    expect(shown).toMatch(/water used .*2\.50 L of 7\.07 L, 1 top-ups/);
    expect(shown).toMatch(/hold 30:00 · added ≤ 7\.07 L/);
    expect(shown).toMatch(/keep the level within 100 mm of the mark/);
    expect(shown).not.toMatch(/drop used/);
    expect(text(stateOf(inHold().type("added 9")))).toMatch(/WILL FAIL/);
  });

  it("takes a figure and Enter", () => {
    const typed = press(stateOf(inHold()), "type 0", "type .", "type 36", "erase", "type 5");
    expect(typed.actions).toEqual([]);
    expect(text(typed.state)).toContain("0.35_ L put in");
    const done = press(typed.state, "enter");
    expect(done.actions).toEqual(["entry 0.35"]);
    expect(done.state.typed).toBe("");
  });

  it("asks for the head where no gauge reads it", () => {
    const crew = new WaterCrew({ keyed: true });
    expect(text(press(stateOf(crew), "type 32").state)).toContain("32_ kPa of head");
    expect(press(stateOf(crew), "type 32", "enter").actions).toEqual(["entry 32"]);
  });

  it("keeps a comma to be complained of: left out, 0,35 would be 35 L", () => {
    expect(press(stateOf(inHold()), "type 0,35", "enter").actions).toEqual(["entry 0,35"]);
  });

  it("takes no figure while a question stands or where none is wanted", () => {
    expect(press(stateOf(inHold()), "quit", "type 1", "enter").actions).toEqual([]);
    const filling = stateOf(new WaterCrew());
    expect(press(filling, "type 1", "enter").actions).toEqual([]);
    expect(press(filling, "enter").state.turned).toBe(1);
  });

  it("fits every terminal in every phase", () => {
    const crews = [new WaterCrew(), new WaterCrew().to(30_000, 600).wait(300), inHold()];
    for (const [columns, rows] of [
      [80, 24],
      [40, 12],
      [20, 6],
    ] as const)
      for (const one of crews) expect(layTest(stateOf(one, columns, rows))).toHaveLength(rows - 1);
  });
});

it("the verdict's lines tell the litres", () => {
  const lines = verdictLines(inHold().wait(1205).type("added 0.5").end(), "kPa").join("\n");
  expect(lines).toMatch(/^PASS: tight by this method/);
  expect(lines).toMatch(/water: 3\.00 L ± 0\.08 L \(95 %\), typed in, in 2 top-ups; permitted 7\.07 L \(0\.15 L\/m² on 47\.12 m²\)/);
  expect(lines).toMatch(/probability that the true loss is within the limit: over 99\.9 %/);
});
