import { renderToString } from "ink";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { ReviewBook } from "../../../src/core/review/book.ts";
import type { OpenedRecord } from "../../../src/core/review/opened.ts";
import { lineWidth } from "../../../src/terminal/parts/line.ts";
import { ReviewScreen } from "../../../src/terminal/screens/review.tsx";
import { nextReview } from "../../../src/terminal/screens/reviewFold.ts";
import type { ReviewKey } from "../../../src/terminal/screens/reviewKeys.ts";
import { firstReview, type ReviewScreenState } from "../../../src/terminal/screens/reviewState.ts";
import { sampleEnd, sampleStart, sampleVerdict } from "../../support/records.ts";
import { reviewRecord, reviewRow, tubeCurve } from "../../support/review.ts";

const zone = process.env["TZ"];
beforeAll(() => {
  process.env["TZ"] = "UTC";
});
afterAll(() => {
  if (zone === undefined) delete process.env["TZ"];
  else process.env["TZ"] = zone;
});

const ESCAPE = "\u001b";
const LOOKS = new RegExp(`${ESCAPE}\\[[0-9;]*m`, "g");
const drawn = (state: ReviewScreenState): string => renderToString(<ReviewScreen state={state} />, { columns: state.columns });
const words = (state: ReviewScreenState): string => drawn(state).replaceAll(LOOKS, "");

const covered = sampleStart({ id: "20260309-101000-c3d4", stage: "covered", started_wall_ms: Date.UTC(2026, 2, 9, 10, 10) });
const coveredEnd = sampleEnd(covered, { verdict: "fail", hold: { ...sampleVerdict(covered).hold, drop_Pa: 290 } });
const second = {
  ...sampleVerdict(sampleStart()),
  verdict: "void" as const,
  judge: "whole-curve" as const,
  reasons: [{ code: "not-settled" as const, text: "Not settled.", figures: {} }],
};
const SAID_ms = Date.UTC(2026, 2, 2, 16, 5);
const signature = { by: "W. Witness", key: "a5c3 0f1e 22b7 9d40", wall_ms: SAID_ms - 864e5, intact: true };
const review = {
  word: "return" as const,
  by: "M. Reed",
  reason: "hose wet on the photo",
  wall_ms: SAID_ms,
  seal: "unsealed",
  intact: true,
};
const FIRST = reviewRecord({ number: 2, start: covered, end: coveredEnd });
const OTHER = reviewRecord({ number: 1, second, reviews: [review], signatures: [signature] });
const TUBE = reviewRecord({ number: 1, raw: tubeCurve() });
const ROWS = [
  reviewRow({ number: 1, differs: true, second: "void", state: "returned" }),
  reviewRow({
    number: 2,
    id: covered.id,
    started_wall_ms: covered.started_wall_ms,
    day: "2026-03-09",
    stage: "covered",
    word: "fail",
    drop: 1.18,
  }),
  reviewRow({
    number: 3,
    id: "20260212-070000-zzzz",
    started_wall_ms: Date.UTC(2026, 1, 12, 7),
    day: "2026-02-12",
    section: "Tarn Road S9",
    source: "simulated",
    word: "void",
    drop: null,
  }),
];

const first = (columns: number, rows: number, colour = false): ReviewScreenState => {
  const book = new ReviewBook(ROWS, ROWS.length);
  const state = firstReview({ archive: "site.staunch", writable: true, book, query: "", by: "", columns, rows, colour });
  return nextReview(state, { kind: "opened", record: FIRST }).state;
};
const press = (state: ReviewScreenState, ...keys: ReviewKey[]): ReviewScreenState =>
  keys.reduce((one, key) => nextReview(one, { kind: "key", key }).state, state);
const opened = (state: ReviewScreenState, record: OpenedRecord): ReviewScreenState => nextReview(state, { kind: "opened", record }).state;

const zeros = [0, 1, 2, 3, 4].map((n) => ({ wall_ms: 1e12 + n * 864e5, zero_Pa: n * n - 2, moment: "before" as const, record: null }));
const SCENES: Readonly<Record<string, (columns: number, rows: number, colour?: boolean) => ReviewScreenState>> = {
  table: first,
  searching: (c, r, k) => press(first(c, r, k), "type /", "type fail cov"),
  differs: (c, r, k) => opened(press(first(c, r, k), "down"), OTHER),
  record: (c, r, k) => press(opened(press(first(c, r, k), "down"), OTHER), "enter"),
  hold: (c, r, k) => press(opened(press(first(c, r, k), "down"), OTHER), "enter", "type h", "right", "right"),
  words: (c, r, k) => press(opened(press(first(c, r, k), "down"), OTHER), "enter", "type v"),
  overlay: (c, r, k) => nextReview(first(c, r, k), { kind: "laid", records: [OTHER, FIRST] }).state,
  few: (c, r, k) => press(opened(press(first(c, r, k), "down"), TUBE), "enter"),
  "few-side": (c, r, k) => opened(press(first(c, r, k), "down"), TUBE),
  "few-overlay": (c, r, k) => nextReview(first(c, r, k), { kind: "laid", records: [FIRST, TUBE] }).state,
  alike: (c, r, k) =>
    nextReview(press(first(c, r, k), "enter"), {
      kind: "alike",
      alike: [{ other: OTHER, text: "The noise is the same: it cannot happen twice." }],
    }).state,
  summary: (c, r, k) => press(first(c, r, k), "type u", "tab", "tab", "tab"),
  zeros: (c, r, k) =>
    nextReview(first(c, r, k), {
      kind: "zeros",
      zeros: [{ gauge: "east", zeros, drift: { zeros: 5, latest_Pa: 14, latest_wall_ms: 0, perMonth_Pa: 30, inTest_Pa: 1 } }],
    }).state,
  form: (c, r, k) => press(first(c, r, k), "type b", "type M. Reed", "enter", "type hose wet"),
  help: (c, r, k) => press(first(c, r, k), "type ?"),
  altered: (c, r, k) => opened(first(c, r, k), { ...FIRST, altered: "the verdict's word in the list of records is not the sealed one" }),
  unclear: (c, r, k) => press(first(c, r, k), "type /", "type verdict:psas"),
};
const NAMES = Object.keys(SCENES);
const scene = (name: string, columns: number, rows: number, colour = false): ReviewScreenState => {
  const make = SCENES[name];
  if (make === undefined) throw new Error(name);
  return make(columns, rows, colour);
};

describe.each([
  [80, 24],
  [120, 40],
] as const)("on %d by %d", (columns, rows) => {
  // The pictures were looked at one by one; after a change on purpose: vitest -u, and look again.
  test.each(NAMES)("%s looks as it did", async (name) => {
    await expect(`${words(scene(name, columns, rows))}\n`).toMatchFileSnapshot(
      `../../../fixtures/screens/review-${name}-${columns}x${rows}.txt`,
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
  test.each(NAMES)("%s fills no more than one row less, none too wide", (name) => {
    const shown = words(scene(name, columns, rows)).split("\n");
    expect(shown.length).toBeLessThanOrEqual(Math.max(1, rows - 1));
    for (const row of shown) expect(lineWidth([{ text: row }])).toBeLessThanOrEqual(columns);
  });
});

test.each([
  ["few", 80, 12],
  ["few-side", 80, 8],
  ["few-side", 120, 12],
  ["few-overlay", 80, 5],
  ["record", 80, 0],
  ["table", 120, 0],
] as const)("of %s on %d columns, readings that stand alone are signs", (name, columns, signs) => {
  // Crosses and letters stand on some.
  expect(words(scene(name, columns, 24)).split("●")).toHaveLength(signs + 1);
});

test.each(NAMES)("%s says the same without colour", (name) => {
  const coloured = new RegExp(`${ESCAPE}\\[(?:[0-9]+;)*3[0-7]m`);
  expect(drawn(scene(name, 80, 24))).not.toMatch(coloured);
  const trimmed = (text: string): string[] => text.split("\n").map((row) => row.trimEnd());
  expect(trimmed(words(scene(name, 80, 24, true)))).toEqual(trimmed(words(scene(name, 80, 24))));
});

describe("what must be seen", () => {
  test.each([
    ["differs", ["second opinion: VOID, not", "2026-03-02 16:05 sent back by", "2026-03-01 16:05 second"]],
    ["record", ["second opinion: VOID, not settled", "├hold", "limit", "○", "×", "air 15.0", "barometer 10"]],
    ["hold", ["in the hold", "air 15."]],
    [
      "words",
      [
        "2026-03-02 16:05 sent back by M. Reed",
        "2026-03-01 16:05 second signature: W. Witness, key a5c3 0f1e",
        "tight by this method",
        "ringed: 1",
      ],
    ],
    ["overlay", ["start of the hold", "a Elderbrook S3-S4 · laid", "b Elderbrook S3-S4 · covered"]],
    ["alike", ["it cannot happen twice"]],
    ["summary", ["by week", "2026-W09", "2026-W11"]],
    ["zeros", ["30 Pa in 30 days"]],
    ["form", ["SEND BACK", "why: hose wet"]],
    ["table", ["SIM", "≠ back", "sample-100mm · east · R. Tarn"]],
    ["altered", ["ALTER!", "ALTERED: the verdict's", "not what was sealed", "no figures"]],
    ["unclear", ["verdict:psas is not known. Did you mean pass?"]],
  ] as const)("%s", (name, sentences) => {
    const text = words(scene(name, 80, 24)).replaceAll(/\s+/g, " ");
    for (const sentence of sentences) expect(text).toContain(sentence);
  });
});

describe("keys", () => {
  const step = (state: ReviewScreenState, key: ReviewKey) => nextReview(state, { kind: "key", key });

  test("a review needs a name, and a reason unless it accepts; then it is asked for, not made here", () => {
    const empty = press(first(80, 24), "type b");
    expect(press(empty, "enter").notice).toContain("needs a name");
    const named = press(empty, "type M", "enter");
    expect(press(named, "enter").notice).toContain("why");
    expect(step(press(named, "type wet"), "enter").wish).toMatchObject({
      kind: "say",
      id: covered.id,
      word: "return",
      by: "M",
      reason: "wet",
    });
    expect(step(press(first(80, 24), "type a", "type M", "enter"), "enter").wish).toMatchObject({ word: "accept", reason: "" });
    expect(press(named, "escape").form).toBeNull();
  });

  test("an archive that may not be written takes none", () => {
    expect(press({ ...first(80, 24), writable: false }, "type a")).toMatchObject({
      form: null,
      notice: expect.stringMatching(/^This archive can only be looked at\. .*`staunch merge`/),
    });
  });

  test("a summary names what was altered, however narrow it is", () => {
    for (const columns of [80, 120]) {
      const state = first(columns, 24);
      state.book.change(0, { standing: "altered" });
      expect(words(press(state, "type u"))).toMatch(/altered *\n[^\n]* 1 *\n/);
    }
  });

  test("what is pasted is text: a line end in it seals nothing, a letter in it begins nothing", () => {
    const paste: ReviewKey[] = ["paste-begin", "type abn", "enter", "type q", "tab", "escape", "up", "paste-end"];
    const form = press(first(80, 24), "type b", "type M", "enter", "type hose ");
    let state = form;
    for (const key of paste) {
      const next = step(state, key);
      expect(next.wish).toBeNull();
      state = next.state;
    }
    expect([state.form?.reason, state.form?.field]).toEqual(["hose abn q ", "reason"]);
    expect(step(state, "enter").wish).toMatchObject({ kind: "say", reason: "hose abn q" });
    expect(press(first(80, 24), "type /", ...paste)).toMatchObject({ query: "abn q ", typing: true });
    expect(press(first(80, 24), ...paste)).toMatchObject({
      form: null,
      page: "table",
      query: "",
      pasting: false,
      notice: expect.stringContaining("not taken for keys"),
    });
    expect(step(press(form, "paste-begin"), "interrupt").wish).toEqual({ kind: "close" });
  });

  test("a reason ends where it may no longer grow, and says so", () => {
    const long = press(first(80, 24), "type b", "type M", "enter", `type ${"x".repeat(3000)}`);
    expect([long.form?.reason.length, long.notice]).toEqual([2000, expect.stringContaining("2000 characters")]);
  });

  test("marks are laid on one another; none marked: those of the section", () => {
    expect(step(press(first(80, 24), "type  ", "type  "), "type o").wish).toEqual({
      kind: "lay",
      ids: [covered.id, "20260301-081500-a1b2"],
    });
    expect(step(first(80, 24), "type o").wish).toEqual({ kind: "lay", ids: [covered.id, "20260301-081500-a1b2"] });
    expect(press(first(80, 24), "end", "type o").notice).toContain("Mark two");
  });

  test("the record under the cursor stays there while a search narrows and widens", () => {
    const there = press(first(80, 24), "down", "type /", "type elder");
    expect(there.book.text(there.hits[there.cursor] ?? 0, "id")).toBe("20260301-081500-a1b2");
    expect(press(there, "escape")).toMatchObject({ query: "", cursor: 1 });
  });

  test("zoom and read-out stay inside the curve", () => {
    let state = press(first(80, 24), "enter", "home");
    for (let i = 0; i < 30; i++) state = press(state, "type +", "left");
    expect(state.at_s).toBe(0);
    expect(state.window?.from_s).toBe(0);
    state = press(state, "end");
    expect(state.at_s).toBe(649.5);
    for (let i = 0; i < 30; i++) state = press(state, "type -");
    expect(state.window).toBeNull();
  });
});

test("text from outside cannot leave its place, in any field", () => {
  const evil = "S1\u001b[2J\u001b]0;gotcha\u0007\nx\u202etxt";
  const row = reviewRow({ section: evil, stage: evil, method: evil, gauge: evil, tester: evil, codes: evil, id: evil, day: "2026-03-01" });
  const book = new ReviewBook([row], 1);
  const sample = sampleStart({ id: evil, stage: evil, tester: evil, section: { id: evil, dn_mm: 1, material: evil, laid_length_m: 1 } });
  const bad = { ...sample, limits: { ...sample.limits, method: { id: evil, title: evil, source: evil } } };
  const finding = [{ code: evil as "wind", text: evil, figures: {} }];
  const end = sampleEnd(bad, { remarks: finding });
  const record = reviewRecord({
    start: bad,
    end,
    second: { ...second, reasons: finding as never },
    reviews: [{ ...review, by: evil, reason: evil }],
    signatures: [{ ...signature, by: evil, key: evil, intact: false }],
  });
  const start = opened(
    firstReview({ archive: evil, writable: true, book, query: evil, by: evil, columns: 80, rows: 24, colour: false }),
    record,
  );
  const listed = { ...start, hits: Uint32Array.of(0), notice: evil };
  const pages: ReviewScreenState[] = [
    listed,
    { ...listed, opened: null, trouble: evil },
    press(listed, "enter"),
    press(listed, "enter", "type v"),
    press(listed, "type u"),
    press(listed, "type n", "type x"),
    nextReview(listed, { kind: "laid", records: [record, record] }).state,
    nextReview(listed, { kind: "alike", alike: [{ other: record, text: evil }] }).state,
    nextReview(listed, { kind: "zeros", zeros: [{ gauge: evil, zeros, drift: null }] }).state,
  ];
  for (const page of pages) {
    const text = words(page);
    expect([...text].filter((sign) => (sign < " " && sign !== "\n") || sign === "\u007f" || sign === "\u202e")).toEqual([]);
    expect(text).not.toContain("gotcha");
    expect(text.split("\n").length).toBeLessThanOrEqual(23);
  }
});
