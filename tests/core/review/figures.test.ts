import fc from "fast-check";
import { linearRegression } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { aligned, changeAt } from "../../../src/core/review/align.ts";
import { ReviewBook } from "../../../src/core/review/book.ts";
import { curveBytes, curveFromBytes } from "../../../src/core/review/curveBytes.ts";
import { find } from "../../../src/core/review/find.ts";
import { stateOf } from "../../../src/core/review/row.ts";
import { summarise, voidPart, weekOf } from "../../../src/core/review/summary.ts";
import { zeroDriftOf } from "../../../src/core/review/zeroDrift.ts";
import { sampleStart, sampleVerdict } from "../../support/records.ts";
import { reviewCurve, reviewRow } from "../../support/review.ts";

describe("a curve as bytes", () => {
  const figure = fc.oneof(
    fc.double(),
    fc.integer({ min: -1e6, max: 1e6 }).map((n) => n / 10),
    fc.constantFrom(0, -0, Number.NaN, 1e300),
  );
  const column = (n: number) => fc.array(figure, { minLength: n, maxLength: n }).map((list) => Float64Array.from(list));

  it("comes back to the last bit, whatever was read", () => {
    const any = fc.nat(40).chain((n) => fc.tuple(column(n), column(n), fc.option(column(n)), fc.option(column(n))));
    fc.assert(
      fc.property(any, ([time_s, pressure_Pa, air_C, ambient_Pa]) => {
        const curve = { time_s, pressure_Pa, air_C, ambient_Pa };
        expect(curveFromBytes(curveBytes(curve))).toEqual(curve);
      }),
    );
  });

  it("that are torn or made up are refused and nothing else", () => {
    const whole = curveBytes(reviewCurve());
    for (let cut = 0; cut < whole.length; cut += 97) expect(() => curveFromBytes(whole.subarray(0, cut))).toThrow(RangeError);
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 60 }), (bytes) => {
        try {
          curveFromBytes(bytes);
        } catch (error) {
          expect(error).toBeInstanceOf(RangeError);
        }
      }),
    );
  });

  it("of a gauge with a fixed step takes four bytes a figure before deflating", () => {
    const { time_s, air_C } = reviewCurve();
    const curve = { time_s, pressure_Pa: time_s.map((_, i) => (i * 7) / 10), air_C, ambient_Pa: null };
    expect(curveBytes(curve).length).toBe(4 + 3 * (2 + 4 * time_s.length) + 1);
  });
});

// ISO 8601: week 1 holds the year's first Thursday. Days and weeks as in the standard's own and other published examples, from memory.
it.each([
  ["2026-01-01", "2026-W01"],
  ["2027-01-01", "2026-W53"],
  ["2024-12-30", "2025-W01"],
  ["2021-01-03", "2020-W53"],
  ["2005-01-01", "2004-W53"],
  ["2008-12-29", "2009-W01"],
  ["----------", "----------"],
])("%s lies in %s", (day, week) => {
  expect(weekOf(day)).toBe(week);
});

it("summaries count what a plain look counts", () => {
  const word = fc.constantFrom("pass", "fail", "void", "inconclusive", "open" as const);
  const row = fc.record({
    word: word as fc.Arbitrary<"pass">,
    tester: fc.constantFrom("A", "B", ""),
    section: fc.constantFrom("S1", "S2", "unnamed"),
    stage: fc.constantFrom("laid", "covered"),
    source: fc.constantFrom("gauge", "simulated") as fc.Arbitrary<"gauge">,
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
          open: count((one) => String(one.word) === "open"),
          notProving: all.filter((one) => one.source !== "gauge").length,
          altered: all.filter((one) => one.standing === "altered").length,
          differs: count((one) => one.differs),
          unreviewed: count((one) => one.state === "unreviewed"),
          returned: count((one) => one.state === "returned"),
          first: { of: count(isFirst), passed: count((one) => isFirst(one) && one.word === "pass") },
          meanDrop: mean,
        });
        const ended = own.filter((one) => String(one.word) !== "open");
        expect(voidPart(line)).toBe(ended.length === 0 ? null : ended.filter((one) => one.word === "void").length / ended.length);
      }
    }),
  );
});

it("the newest accept or return that is intact decides", () => {
  const said = (word: "accept" | "return" | "note", wall_ms: number, intact = true) => ({
    word,
    by: "M",
    reason: "",
    wall_ms,
    seal: "",
    intact,
  });
  expect(stateOf([])).toBe("unreviewed");
  expect(stateOf([said("note", 9)])).toBe("unreviewed");
  expect(stateOf([said("return", 2), said("accept", 1), said("note", 3)])).toBe("returned");
  expect(stateOf([said("return", 1), said("accept", 2), said("return", 3, false)])).toBe("accepted");
});

it("curves are laid with the start of the hold at nothing", () => {
  const { hold } = sampleVerdict(sampleStart());
  const laid = aligned(reviewCurve(60), { direction: "pressure" }, hold);
  if (laid === null) throw new Error("no hold");
  expect(laid.hold_s).toBe(300);
  // 60 Pa in 300 s, the readings within a count.
  expect(changeAt(laid, 150)).toBeGreaterThan(-32);
  expect(changeAt(laid, 150)).toBeLessThan(-28);
  expect(changeAt(laid, 1e6)).toBeNull();
  expect(changeAt(laid, -1e6)).toBeNull();
  const vacuum = aligned(reviewCurve(60), { direction: "vacuum" }, hold);
  expect(changeAt(vacuum ?? laid, 150)).toBe(-(changeAt(laid, 150) ?? 0));
  expect(aligned(reviewCurve(), { direction: "pressure" }, { ...hold, from_s: null })).toBeNull();
});

it("the drift of a zero is the slope of a line through all of them", () => {
  const day = 86_400_000;
  const zeros = [3, -1, 4, 1.5, 9].map((zero_Pa, i) => ({ wall_ms: 1e12 + i * i * day, zero_Pa, moment: "before" as const, record: null }));
  const { m } = linearRegression(zeros.map(({ wall_ms, zero_Pa }) => [(wall_ms - 1e12) / day, zero_Pa]));
  const drift = zeroDriftOf([...zeros].reverse());
  expect(drift?.perMonth_Pa).toBeCloseTo(30 * m, 9);
  expect(drift).toMatchObject({ zeros: 5, latest_Pa: 9, inTest_Pa: null });
  expect(zeroDriftOf([])).toBeNull();
  expect(zeroDriftOf(zeros.slice(0, 2))?.perMonth_Pa).toBeNull();
});
