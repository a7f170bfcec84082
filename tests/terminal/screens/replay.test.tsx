import { renderToString } from "ink";
import { render } from "ink-testing-library";
import { describe, expect, test } from "vitest";
import { lineWidth } from "../../../src/terminal/parts/line.ts";
import type { ReplayKey } from "../../../src/terminal/parts/replayKeys.ts";
import { ReplayScreen } from "../../../src/terminal/screens/replay.tsx";
import { layReplay } from "../../../src/terminal/screens/replayLayout.ts";
import { firstReplay, nextReplay, type ReplayState } from "../../../src/terminal/screens/replayState.ts";
import { PASSED } from "../canned.ts";
import { AS_TESTED, cannedFilm, cannedReplay, factsOf } from "../cannedFilm.ts";

const ESCAPE = "\u001b";
const LOOKS = new RegExp(`${ESCAPE}\\[[0-9;]*m`, "g");
const drawn = (state: ReplayState): string => renderToString(<ReplayScreen state={state} />, { columns: state.columns });
const words = (state: ReplayState): string => drawn(state).replaceAll(LOOKS, "");
const pressed = (state: ReplayState, ...keys: ReplayKey[]): ReplayState =>
  keys.reduce((now, key) => nextReplay(now, { kind: "key", key, real_ms: 0 }), state);
const at = (state: ReplayState, time: string): ReplayState => pressed(state, "go", `type ${time}`, "enter");

/** The drop read as 6.3 mbar in place of 6.2, and a void in place of the pass. */
const CHANGED = { ...PASSED, verdict: "void" as const, hold: { ...PASSED.hold, drop_Pa: 630 } };

const whatIf = (columns: number, rows: number): ReplayState => {
  const film = cannedFilm();
  const changes = ["rule guarded", "tolerance 3 %", "unfiltered"];
  return firstReplay({
    recorded: factsOf(film),
    whatIf: factsOf(film, { changes, comparison: null }),
    ...AS_TESTED,
    speed: 1,
    columns,
    rows,
    colour: false,
  });
};

const STATES: Readonly<Record<string, (columns: number, rows: number) => ReplayState>> = {
  start: (columns, rows) => cannedReplay(columns, rows),
  hold: (columns, rows) => at(cannedReplay(columns, rows), "9:10"),
  bytes: (columns, rows) => pressed({ ...at(cannedReplay(columns, rows), "1:00"), bytes: false, figures: false }, "bytes"),
  figures: (columns, rows) => pressed({ ...at(cannedReplay(columns, rows), "9:10"), bytes: false, figures: false }, "figures"),
  end: (columns, rows) => pressed(cannedReplay(columns, rows), "end"),
  "not-as-recorded": (columns, rows) =>
    pressed(
      {
        ...cannedReplay(columns, rows, { before: CHANGED, comparison: { same: null, parted: ['verdict "void" became "pass"'] } }),
        figures: true,
      },
      "end",
    ),
  "what-if": (columns, rows) => pressed(whatIf(columns, rows), "end"),
  keys: (columns, rows) => pressed(cannedReplay(columns, rows), "help"),
  altered: (columns, rows) => cannedReplay(columns, rows, { seal: { word: "ALTERED", what: "the signature is not of this seal and key" } }),
};
const NAMES = Object.keys(STATES);
const stateOf = (name: string, columns: number, rows: number): ReplayState => {
  const made = STATES[name];
  if (made === undefined) throw new RangeError(name);
  return made(columns, rows);
};

describe.each([
  [80, 24],
  [120, 40],
] as const)("on %d by %d", (columns, rows) => {
  // The pictures were looked at one by one; after a change on purpose: vitest -u, and look again.
  test.each(NAMES)("%s looks as it did", async (name) => {
    const picture = `${words(stateOf(name, columns, rows))}\n`;
    await expect(picture).toMatchFileSnapshot(`../../../fixtures/screens/replay-${name}-${columns}x${rows}.txt`);
  });

  test.each(NAMES)("%s has no colour without colour, and the same words with it", (name) => {
    const state = stateOf(name, columns, rows);
    const coloured = drawn({ ...state, colour: true });
    expect(drawn(state)).not.toMatch(new RegExp(`${ESCAPE}\\[(?:[0-9]+;)*(?:3|4|9|10)[0-7](?:;[0-9]+)*m`));
    expect(coloured.replaceAll(LOOKS, "")).toBe(words(state));
  });
});

describe.each([
  [80, 24],
  [120, 40],
  [60, 18],
  [40, 12],
  [20, 6],
  [200, 60],
  [1, 1],
] as const)("a terminal of %d by %d", (columns, rows) => {
  test.each(NAMES)("%s fills one row less and no row is too wide", (name) => {
    const state = { ...stateOf(name, columns, rows), bytes: true, figures: true };
    expect(layReplay(state)).toHaveLength(Math.max(1, rows - 1));
    for (const row of words(state).split("\n")) expect(lineWidth([{ text: row }])).toBeLessThanOrEqual(columns);
  });
});

describe("what must be seen", () => {
  test.each([
    ["start", 80, [" REPLAY ", "recorded: PASS, drop 6.2 of 15.0 mbar", "‖ ×10 · 0:00.0 of 11:30.0", "[ IDLE ]", "SIMULATED"]],
    [
      "hold",
      80,
      ["[ HOLD ]", "9:10.0 of 11:30.0 · 2:20 to go · reading 551 of 691", "2:00 left", "3.1 of 15.0 mbar (21 %)", "S12–S13 Mill Lane"],
    ],
    ["bytes", 80, ["31 31 30 2e 30", "110.06 mbar··", "▸   1:00.0 ←"]],
    ["figures", 80, ["drop", "6.200 mbar", "3.100 mbar…"]],
    ["end", 80, [" REPLAY · sealed ", "PASS, drop 6.2 of 15.0 mbar · as recorded, to the last digit", "PASS: tight by this method"]],
    [
      "not-as-recorded",
      80,
      ["NOT AS RECORDED: PASS, recorded VOID", "verdict ≠ VOID PASS other", "drop ≠ 6.300 mbar 6.200 mbar -0.100 mbar"],
    ],
    [
      "what-if",
      80,
      [" WHAT IF ", "rule guarded, tolerance 3 %, unfiltered · record unchanged", "what if: PASS, drop 6.2 of 15.0 mbar · recorded: PASS"],
    ],
    [
      "keys",
      80,
      ["KEYS OF THE REPLAY", "r what if: the other rule", "[ ] a reading back, on", "n an event back, on", "≠ other than recorded"],
    ],
    ["altered", 80, [" REPLAY · ALTERED ", "ALTERED: the signature is not of this seal and key."]],
    ["what-if", 120, ["recorded what if difference", "w as recorded"]],
  ] as const)("%s on %d columns", (name, columns, sentences) => {
    const source = { ...stateOf(name, columns, columns === 80 ? 24 : 40) };
    const { recorded } = source;
    const film = name === "start" ? cannedFilm({ change: { source: "simulated" } }) : recorded.film;
    const text = words({ ...source, recorded: { ...recorded, film } }).replaceAll(/\s+/g, " ");
    for (const sentence of sentences) expect(text).toContain(sentence.replaceAll(/\s+/g, " ").trim());
  });

  test("a record that proves nothing says so, whatever panes are open", () => {
    const film = cannedFilm({ change: { source: "simulated" } });
    for (const [bytes, figures] of [
      [false, false],
      [true, false],
      [true, true],
    ] as const) {
      const state = { ...cannedReplay(80, 24), recorded: { ...cannedReplay(80, 24).recorded, film }, bytes, figures };
      expect(words(at(state, "9:10"))).toContain("SIMULATED");
    }
  });

  test("w goes from what if to what was recorded and back", () => {
    const other = pressed(whatIf(80, 24), "what-if");
    expect(words(other)).toContain(" REPLAY ");
    expect(words(pressed(other, "what-if"))).toContain(" WHAT IF ");
    expect(words(pressed(cannedReplay(80, 24), "what-if"))).toContain("Nothing else was asked for");
  });
});

test("bytes, details and texts from outside stay in their place", () => {
  const evil = "\u001b[2J\u001b]0;gotcha\u0007\u202etxt\u009b31m\r\n";
  const film = cannedFilm({ bytes: () => new TextEncoder().encode(evil.repeat(20)), detail: evil });
  const state = firstReplay({
    recorded: factsOf(film, { changes: [evil], comparison: { same: null, parted: [evil] }, seal: { word: evil, what: evil } }),
    whatIf: null,
    ...AS_TESTED,
    speed: 1,
    columns: 80,
    rows: 24,
    colour: false,
  });
  for (const place of [state, at(state, "5:00"), pressed(state, "end")]) {
    const text = words({ ...place, bytes: true, figures: true });
    expect([...text].filter((sign) => (sign < " " && sign !== "\n") || (sign >= "\u007f" && sign < "\u00a0") || sign === "\u202e")).toEqual(
      [],
    );
    expect(text.split("\n").length).toBeLessThanOrEqual(23);
  }
});

test("a frame follows the state", () => {
  const screen = render(<ReplayScreen state={at(cannedReplay(100, 24), "3:00")} />);
  expect(screen.lastFrame()).toContain("[ SETTLE ]");
  screen.rerender(<ReplayScreen state={at(cannedReplay(100, 24), "9:10")} />);
  expect(screen.lastFrame()).toContain("[ HOLD ]");
  screen.unmount();
});
