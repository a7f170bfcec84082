import { expect, it } from "vitest";
import { ReviewBook } from "../../../src/core/review/book.ts";
import { queryTrouble } from "../../../src/core/review/queryTrouble.ts";
import { reviewRow } from "../../support/review.ts";

const rows = [reviewRow({ codes: "cooling wind" }), reviewRow({ number: 2, section: "MH3:4", tester: "M. Reed", differs: true })];
const trouble = (typed: string): string | null => queryTrouble(new ReviewBook(rows, rows.length), typed);

it.each([
  "",
  "pass",
  "verdict:pas",
  "verdict:f",
  "second:void",
  "-pass not:fail",
  "stage:covered",
  "state:unreviewed source:simulated",
  "since:2026 until:2026-12 date:2026-03-01",
  "since:7d until:12h",
  "MH3:4",
  '"verdct:pass"',
  "tester:tar",
  "mill lane",
  "xyzzyxyzzy",
  "verdict:",
])("%j is no trouble", (typed) => {
  expect(trouble(typed)).toBeNull();
});

it.each([
  ["verdict:psas", "Did you mean pass?"],
  ["second:viod", "Did you mean void?"],
  ["state:acepted", "Did you mean accepted?"],
  ["source:simulatd", "Did you mean simulated?"],
  ["fail verdct:pass", "did you mean verdict:pass?"],
  ["sinse:2026", "did you mean since:2026?"],
  ["unreviwed", "Did you mean unreviewed?"],
  ["not:simulatd", "Did you mean simulated?"],
  ["diffres", "Did you mean differs?"],
  ["remark:coolng", "Did you mean cooling?"],
  ["tester:trn", "Did you mean tarn?"],
  ["since:yesterday", "write 2026, 2026-03, 2026-03-15, 7d or 12h"],
  ["since:7w", "is no day"],
  ["date:7d", "write 2026, 2026-03 or 2026-03-15."],
  ["until:2026-13", "is no day"],
  ["date:2026-02-33", "is no day"],
])("%j: %s", (typed, wanted) => {
  expect(trouble(typed)).toContain(wanted);
});
