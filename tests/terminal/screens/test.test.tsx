import { renderToString } from "ink";
import { render } from "ink-testing-library";
import { describe, expect, test } from "vitest";
import { lineWidth } from "../../../src/terminal/parts/line.ts";
import { TestScreen } from "../../../src/terminal/screens/test.tsx";
import { layTest } from "../../../src/terminal/screens/testLayout.ts";
import { nextTestState, type TestState } from "../../../src/terminal/screens/testState.ts";
import { CANNED, CAUTIONS, cannedState } from "../canned.ts";

const NAMES = Object.keys(CANNED);
const SIZES = [
  [80, 24],
  [120, 40],
] as const;

const ESCAPE = "\u001b";
/** Select-graphic-rendition sequences only; everything else that begins with an escape stays in the text and is found. */
const LOOKS = new RegExp(`${ESCAPE}\\[[0-9;]*m`, "g");
const withoutLooks = (text: string): string => text.replaceAll(LOOKS, "");
const drawn = (state: TestState): string => renderToString(<TestScreen state={state} />, { columns: state.columns });
const words = (state: TestState): string => withoutLooks(drawn(state));

describe.each(SIZES)("on %d by %d", (columns, rows) => {
  // The pictures were looked at one by one; after a change on purpose: vitest -u, and look again.
  test.each(NAMES)("%s looks as it did", async (name) => {
    const picture = `${words(cannedState(name, columns, rows))}\n`;
    await expect(picture).toMatchFileSnapshot(`../../../fixtures/screens/${name}-${columns}x${rows}.txt`);
  });
});

describe.each([...SIZES, [60, 18], [40, 12], [20, 6], [200, 60], [1, 1]] as const)("a terminal of %d by %d", (columns, rows) => {
  test.each(NAMES)("%s fills one row less and no row is too wide", (name) => {
    const lines = layTest(cannedState(name, columns, rows));
    expect(lines).toHaveLength(Math.max(1, rows - 1));
    for (const line of lines.map((row) => withoutLooks(row.map((piece) => piece.text).join("")))) expect(line).not.toMatch(/[\n\r]/);
    const shown = drawn(cannedState(name, columns, rows)).split("\n");
    expect(shown.length).toBeLessThanOrEqual(Math.max(1, rows - 1));
    for (const row of shown) expect(lineWidth([{ text: withoutLooks(row) }])).toBeLessThanOrEqual(columns);
  });
});

/** The screen over time, page after page, as somebody would read it who waits. */
function read(state: TestState): string {
  let all = "";
  for (let page = 0; page < 12; page++) {
    all += ` ${words({ ...state, turned: page })}`;
  }
  return all.replaceAll(/\s+/g, " ");
}

describe("nothing is lost on 80 by 24", () => {
  test("every caution can be read whole before charging", () => {
    const text = read(cannedState("idle", 80, 24));
    for (const caution of CAUTIONS) expect(text).toContain(caution);
  });

  test("many long cautions come in pages, by themselves too", () => {
    const cautions = Array.from({ length: 30 }, (_, i) => `Caution number ${i} says ${"mind this ".repeat(9)}end ${i}.`);
    const state = { ...cannedState("idle", 80, 24), cautions };
    const text = read(state);
    // A sentence may be cut in two by the turn of a page, its ends are there all the same.
    for (const i of cautions.keys()) expect(text).toContain(`end ${i}.`);
    const later = nextTestState(state, { kind: "tick", now_ms: 8000 }).state;
    expect(words(state)).toContain("page 1 of");
    expect(words(later)).toContain("page 2 of");
  });

  test.each(["pass", "fail", "void", "inconclusive"])("every finding of a %s can be read", (name) => {
    const verdict = CANNED[name]?.view.verdict;
    const text = read(cannedState(name, 80, 24));
    expect(verdict?.verdict).toBe(name);
    expect(text).toContain(`${name.toUpperCase()}: `);
    for (const finding of [...(verdict?.reasons ?? []), ...(verdict?.remarks ?? [])]) {
      for (const word of finding.text.split(" ")) expect(text).toContain(word);
    }
  });
});

describe("what must be seen", () => {
  test.each([
    ["idle", ["SIMULATED", "[ IDLE ]", "pump to 110.0 mbar", "778 N (79 kgf)"]],
    ["charge", ["[ CHARGE ]", "never beyond 121.0 mbar", "A plug under pressure can kill."]],
    ["settle", ["[ SETTLE ]", "3:00 left of 5:00", "still to come by itself: a fall of 2.6 mbar; must be less than 1.5 mbar"]],
    ["settle-late", ["Settling takes long"]],
    ["trim", ["[ TRIM ]", "bleed to 100.3 mbar", "between 98.0 mbar and 102.0 mbar"]],
    ["hold", ["[ HOLD ]", "3.1 of 15.0 mbar (21 %)", "6.2 mbar: within the limit so far (5.8 to 6.6 mbar, 95 %)", "limit 85."]],
    ["hold-will-fail", ["WILL FAIL"]],
    ["vent", ["[ VENT ]", "A gauge that reads zero is no permission", "s skip the vent check?"]],
    ["alarm", ["!! ALARM: 123.4 mbar is above the top pressure of 121.0 mbar !!", "Stop the pump."]],
    ["silent", ["PSEUDO-TERMINAL", "No reading for 12 s; the last was 97.1 mbar", "line down", "1 outage ", "37 bytes unused"]],
  ] as const)("%s", (name, sentences) => {
    const text = words(cannedState(name, 80, 24)).replaceAll(/\s+/g, " ");
    for (const sentence of sentences) expect(text).toContain(sentence);
  });

  test("an old figure is taken off the big digits", () => {
    const state = cannedState("hold", 80, 24);
    const later = nextTestState(state, { kind: "tick", now_ms: 6000 }).state;
    expect(words(state)).toContain("███  █████     █");
    expect(words(later)).not.toContain("███  █████     █");
    expect(words(later)).toContain("nothing heard from the test itself for 6 s");
  });

  test("between the end and the verdict on disk there is no verdict to see", () => {
    const state = cannedState("pass", 80, 24);
    const view = state.view;
    if (view === null) throw new Error("no view");
    const text = words({ ...state, view: { ...view, verdict: null } });
    expect(text).toContain("its record is being closed");
    expect(text).not.toContain("PASS");
  });

  test("what rebounds is called a rise", () => {
    const state = cannedState("settle", 80, 24);
    const view = state.view;
    if (view?.settle == null) throw new Error("no settling");
    expect(words({ ...state, view: { ...view, settle: { ...view.settle, coming_Pa: -310 } } })).toContain("a rise of 3.1 mbar");
  });

  test("a question about stopping stands above the figures", () => {
    const asked = nextTestState(cannedState("hold", 80, 24), { kind: "key", meaning: "quit" }).state;
    expect(words(asked)).toContain("Stop the test? Its record is then closed as void. y yes · n no");
  });
});

describe("colour", () => {
  const COLOURED = new RegExp(`${ESCAPE}\\[(?:[0-9]+;)*(?:3|4|9|10)[0-7](?:;[0-9]+)*m`);

  test.each(NAMES)("%s has none without colour, and the same words with it", (name) => {
    const plain = drawn(cannedState(name, 80, 24, false));
    const coloured = drawn(cannedState(name, 80, 24, true));
    expect(plain).not.toMatch(COLOURED);
    expect(coloured).toMatch(COLOURED);
    expect(withoutLooks(coloured)).toBe(withoutLooks(plain));
  });
});

test("text from outside cannot leave its place", () => {
  const state = cannedState("hold", 80, 24);
  const evil = "S1\u001b[2J\u001b]0;gotcha\u0007\nx\u202etxt";
  const view = state.view;
  if (view === null) throw new Error("no view");
  const hostile: TestState = {
    ...state,
    start: { ...state.start, section: { ...state.start.section, id: evil, material: evil }, stage: evil },
    cautions: [evil],
    turns: [{ at_s: 1, code: evil, text: evil, bell: null }],
    view: { ...view, ask: { ...view.ask, say: evil }, alarm: evil, gauge: { ...view.gauge, identity: evil } },
  };
  for (const phase of ["idle", "charge", "hold"] as const) {
    const text = words({ ...hostile, view: { ...view, ...hostile.view, phase } as typeof view });
    expect([...text].filter((sign) => (sign < " " && sign !== "\n") || sign === "\u007f" || sign === "\u202e")).toEqual([]);
    expect(text).not.toContain("gotcha");
    expect(text.split("\n").length).toBeLessThanOrEqual(23);
  }
});

test("wide and accented names keep the rows in line", () => {
  const state = cannedState("idle", 80, 24);
  const section = { ...state.start.section, id: "管渠 3 – Köln-Mülheim" };
  const row = words({ ...state, start: { ...state.start, section } }).split("\n")[0] ?? "";
  expect(row).toContain("管渠 3 – Köln-Mülheim");
  expect(lineWidth([{ text: row }])).toBe(80);
});

test("a frame follows the state", () => {
  const screen = render(<TestScreen state={cannedState("settle", 100, 24)} />);
  expect(screen.lastFrame()).toContain("[ SETTLE ]");
  screen.rerender(<TestScreen state={cannedState("hold", 100, 24)} />);
  expect(screen.lastFrame()).toContain("[ HOLD ]");
  expect(screen.lastFrame()).not.toContain("[ SETTLE ]");
  screen.unmount();
});
