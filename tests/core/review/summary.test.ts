import fc from "fast-check";
import { expect, it } from "vitest";
import { ReviewBook } from "../../../src/core/review/book.ts";
import { find } from "../../../src/core/review/find.ts";
import type { ReviewRow } from "../../../src/core/review/row.ts";
import { summarise, voidPart } from "../../../src/core/review/summary.ts";
import { reviewRow } from "../../support/review.ts";

it("summaries count what a plain look counts", () => {
  const row = fc.record({
    word: fc.constantFrom<ReviewRow["word"][]>("pass", "fail", "void", "inconclusive", "open"),
    tester: fc.constantFrom("A", "B", ""),
    section: fc.constantFrom("S1", "S2", "unnamed"),
    stage: fc.constantFrom("laid", "covered"),
    source: fc.constantFrom<ReviewRow["source"][]>("gauge", "simulated"),
    state: fc.constantFrom("unreviewed", "accepted", "returned"),
    standing: fc.constantFrom("", "", "", "altered", "unsealed"),
    differs: fc.boolean(),
    drop: fc.option(fc.constantFrom(0.25, 0.5)),
  });
  fc.assert(
    fc.property(fc.array(row, { maxLength: 30 }), (list) => {
      const rows = list.map((over, number) => reviewRow({ ...over, number, started_wall_ms: (number * 7) % 31 }));
      const book = new ReviewBook(rows, rows.length);
      const { lines, proving } = summarise(book, find(book, "", "newest"), "tester");
      expect(proving).toBe(rows.some((one) => one.source === "gauge"));
      const counted = rows.filter((one) => one.standing !== "altered" && (one.source === "gauge" || !proving));
      const saying = counted.filter((one) => !["void", "open"].includes(one.word) && one.section !== "unnamed");
      const isFirst = (one: (typeof rows)[number]): boolean =>
        saying.includes(one) &&
        saying.every((o) => o.section !== one.section || o.stage !== one.stage || o.started_wall_ms >= one.started_wall_ms);
      expect(lines.reduce((sum, line) => sum + line.tests, 0)).toBe(counted.length);
      for (const line of lines) {
        const all = rows.filter((one) => one.tester === line.name);
        const own = counted.filter((one) => one.tester === line.name);
        const passed = own.filter((one) => one.word === "pass" && one.drop !== null).map((one) => one.drop ?? 0);
        const mean = passed.length === 0 ? null : passed.reduce((a, b) => a + b, 0) / passed.length;
        const count = (isSo: (one: (typeof own)[number]) => boolean): number => own.filter(isSo).length;
        expect(line).toEqual({
          name: line.name,
          tests: own.length,
          pass: count((one) => one.word === "pass"),
          fail: count((one) => one.word === "fail"),
          void: count((one) => one.word === "void"),
          inconclusive: count((one) => one.word === "inconclusive"),
          open: count((one) => one.word === "open"),
          notProving: all.filter((one) => one.source !== "gauge").length,
          altered: all.filter((one) => one.standing === "altered").length,
          differs: count((one) => one.differs),
          unreviewed: count((one) => one.state === "unreviewed"),
          returned: count((one) => one.state === "returned"),
          first: { of: count(isFirst), passed: count((one) => isFirst(one) && one.word === "pass") },
          meanDrop: mean,
        });
        const ended = own.filter((one) => one.word !== "open");
        expect(voidPart(line)).toBe(ended.length === 0 ? null : ended.filter((one) => one.word === "void").length / ended.length);
      }
    }),
  );
});
