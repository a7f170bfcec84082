import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ReviewBook } from "../../../src/core/review/book.ts";
import { find, SORTS } from "../../../src/core/review/find.ts";
import { termsOf } from "../../../src/core/review/query.ts";
import type { ReviewRow } from "../../../src/core/review/row.ts";
import { reviewRow } from "../../support/review.ts";

const ROWS: readonly ReviewRow[] = [
  reviewRow({ number: 1 }),
  reviewRow({
    number: 2,
    id: "b",
    word: "fail",
    codes: "drop-over-limit wind",
    section: "Mill Lane S9",
    drop: 1.4,
    started_wall_ms: 2e12,
    day: "2033-05-18",
  }),
  reviewRow({
    number: 3,
    id: "c",
    word: "void",
    differs: true,
    second: "pass",
    tester: "Ana Ödön",
    state: "returned",
    drop: null,
    started_wall_ms: 1,
  }),
  reviewRow({
    number: 4,
    id: "d",
    source: "simulated",
    stage: "covered",
    state: "accepted",
    gauge: "Éast 2",
    started_wall_ms: 5,
    drop: 0.9,
  }),
  reviewRow({ number: 5, id: "e", word: "open", tester: "", drop: null, started_wall_ms: 4, section: "line\nbreak" }),
];
const book = new ReviewBook(ROWS, ROWS.length);
const found = (typed: string): number[] => Array.from(find(book, typed, "newest"), (row) => book.number(row)).sort();

describe("what is typed finds", () => {
  it.each([
    ["", [1, 2, 3, 4, 5]],
    ["mill", [2]],
    ["MILL s9", [2]],
    ["fail", [2]],
    ["drop-over", [2]],
    ["ödön", [3]],
    ["ÖDÖN", [3]],
    ["returned", [3]],
    ["unrev", [1, 2, 5]],
    ["reviewed", []],
    ["differs", [3]],
    ["simulated", [4]],
    ["-simulated", [1, 2, 3, 5]],
    ["not:simulated covered", []],
    ["second:pass void", [3]],
    ["since:2033", [2]],
    ["until:2026-03", [1, 3, 4, 5]],
    ["until:2026-02", []],
    ["tester:tarn -open", [1, 2, 4]],
    ['"line break"', [5]],
    ['section:"lane s9"', [2]],
    ["nothing:here", []],
    ["by:", [1, 2, 3, 4, 5]],
    ["-", [1, 2, 3, 4, 5]],
    ["gauge:éast", [4]],
    ["2026-03-01 elder", [1, 3, 4]],
  ] as const)("%j → %j", (typed, numbers) => {
    expect(found(typed)).toEqual(numbers);
  });

  it("the same rows as a plain look at each, for any texts and any words", () => {
    const text = fc.constantFrom("Mill Lane", "mill", "S1", "", "ß", "ﬁn", "a\nb", "İ", "x".repeat(40));
    const word = fc.constantFrom("mill", "lane", "s", "1", "fin", "ss", "b", "q", "i̇");
    const row = fc.record({ section: text, tester: text, codes: text });
    fc.assert(
      fc.property(fc.array(row, { maxLength: 20 }), word, fc.boolean(), (list, needle, not) => {
        const rows = list.map((over, number) =>
          reviewRow({ ...over, number, id: "_", day: "-", stage: "_", method: "_", gauge: "_", word: "void" }),
        );
        const many = new ReviewBook(rows, rows.length);
        const fold = (s: string): string => s.normalize("NFKC").toLowerCase().replaceAll("\n", " ");
        const plain = rows
          .filter((one) => [one.section, one.tester, one.codes].some((s) => fold(s).includes(fold(needle))) !== not)
          .map((one) => one.number);
        const quick = Array.from(find(many, `${not ? "-" : ""}${needle}`, "oldest"), (place) => many.number(place));
        // These letters also begin words of columns that are the same in all rows.
        const others = ["unreviewed", "void", "gauge", "_", "-", ""].some((s) => s.startsWith(fold(needle)) && s !== "");
        if (!others) expect([...quick].sort((a, b) => a - b)).toEqual(plain);
      }),
    );
  });
});

it("days and hours ago count from when the book was read, to the millisecond", () => {
  const HOUR_ms = 3_600_000;
  const now_ms = 1e12;
  const hours = [0, 12, 13, 24 * 7, 24 * 8];
  const rows = hours.map((ago, number) => reviewRow({ number, started_wall_ms: now_ms - ago * HOUR_ms }));
  const dated = new ReviewBook(rows, rows.length, now_ms);
  const ago = (typed: string): number[] => Array.from(find(dated, typed, "newest"), (row) => dated.number(row));
  expect(ago("since:12h")).toEqual([0, 1]);
  expect(ago("since:7d")).toEqual([0, 1, 2, 3]);
  expect(ago("since:7d until:13h")).toEqual([2, 3]);
  expect(ago("-since:7d")).toEqual([4]);
  expect(Array.from(find(new ReviewBook(rows, rows.length), "since:7d", "newest"))).toEqual([]);
});

it("every order holds every row once, newest first among equals", () => {
  for (const sort of SORTS) expect(Array.from(find(book, "", sort)).sort()).toEqual([0, 1, 2, 3, 4]);
  const order = (sort: (typeof SORTS)[number]): number[] => Array.from(find(book, "", sort), (row) => book.number(row));
  expect(order("newest")).toEqual([2, 1, 4, 5, 3]);
  expect(order("oldest")).toEqual([3, 5, 4, 1, 2]);
  expect(order("verdict")).toEqual([2, 3, 5, 1, 4]);
  expect(order("drop")).toEqual([2, 4, 1, 5, 3]);
});

it("terms are read while they are typed; nothing is an error", () => {
  fc.assert(fc.property(fc.string({ unit: "binary" }), (typed) => void termsOf(typed)));
  expect(termsOf('tester:tarn "S3 S4" -x since:')).toEqual([
    { not: false, column: "tester", text: "tarn", test: "holds" },
    { not: false, column: null, text: "s3 s4", test: "holds" },
    { not: true, column: null, text: "x", test: "holds" },
  ]);
});

it("a change of a row is found by it, and the row comes back whole", () => {
  const own = new ReviewBook(ROWS, ROWS.length);
  own.change(0, { state: "accepted", second: "void", differs: true });
  expect(Array.from(find(own, "accepted", "newest"), (row) => own.number(row))).toEqual([1, 4]);
  expect(own.row(0)).toEqual({ ...ROWS[0], state: "accepted", second: "void", differs: true });
  expect(own.row(2)).toEqual(ROWS[2]);
  expect(own.rowOf(3)).toBe(2);
  expect(own.rowOf(99)).toBe(-1);
});
