import { expect, it } from "vitest";
import type { Verdict } from "../../src/core/record.ts";
import { pressureScale } from "../../src/terminal/figures.ts";
import { figureLines, verdictFigures } from "../../src/terminal/verdictFigures.ts";
import { sampleStart, sampleVerdict } from "../support/records.ts";

const scale = pressureScale("mbar", 245);
const before = sampleVerdict(sampleStart());
const apart = (now: Verdict) => verdictFigures(before, now, scale).filter(({ mark }) => mark === "≠");

it("of one verdict twice part nowhere, and nothing is to be told", () => {
  const rows = verdictFigures(before, before, scale);
  expect(new Set(rows.map(({ mark }) => mark))).toEqual(new Set(["="]));
  expect(rows.map(({ label }) => label)).toEqual(expect.arrayContaining(["verdict", "drop", "hold from", "leak", "readings"]));
  expect(figureLines(before, before, { scale, name: "now", onlyApart: true })).toEqual([]);
});

it.each(["hold", "leak"] as const)("no figure of %s may part unseen", (part) => {
  for (const [name, value] of Object.entries(before[part])) {
    const other = typeof value === "number" ? value * 1.25 + 1 : 17;
    const rows = apart({ ...before, [part]: { ...before[part], [name]: other } });
    expect(
      rows.map(({ label }) => label),
      name,
    ).toHaveLength(1);
  }
});

it.each<[string, Partial<Verdict>]>([
  ["the word", { verdict: "fail" }],
  ["the rule", { rule: "guarded" }],
  ["a reason", { reasons: [{ code: "drop-over-limit", text: "", figures: {} }] }],
  ["a remark", { remarks: [{ code: "spikes", text: "", figures: {} }] }],
  ["the readings", { readings: 6199 }],
  ["when it had settled", { settled_at_s: null }],
  ["a phase", { phases: [{ phase: "hold", from_s: 321, to_s: 620 }] }],
  ["the method", { method: { ...before.method, id: "another" } }],
])("%s that is another one stands first", (_what, over) => {
  const now = { ...before, ...over };
  const rows = verdictFigures(before, now, scale);
  expect(rows.map(({ mark }) => mark)).toEqual(["≠", ...rows.slice(1).map(() => "=")]);
});

it("tells in the method's unit what the second has more or less", () => {
  const now = { ...before, hold: { ...before.hold, drop_Pa: 80.15, end_Pa: 901.05 } };
  expect(apart(now).map(({ label, difference }) => [label, difference])).toEqual([
    ["drop", "+0.02 mbar"],
    ["at its end", "-0.02 mbar"],
  ]);
});

it("lets nothing out of a stranger's archive reach the terminal as a command", () => {
  const evil = { ...before, method: { ...before.method, id: "\u001b[2Jen\u202e1610" } };
  expect(apart(evil).map(({ now }) => now)).toEqual(["en1610"]);
  const text = figureLines(before, evil, { scale, name: "now", onlyApart: true }).join("");
  for (const hidden of ["\u001b", "\u202e"]) expect(text).not.toContain(hidden);
});
