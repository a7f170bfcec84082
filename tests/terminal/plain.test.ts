import { describe, expect, test } from "vitest";
import { sourceWord, TICK_SECONDS, tickDue, tickLine, turnLine, verdictLines } from "../../src/terminal/plain.ts";
import { CANNED, PASSED } from "./canned.ts";

const viewOf = (name: string) => {
  const view = CANNED[name]?.view;
  if (view === undefined) throw new RangeError(name);
  return view;
};

test("a turn is one line with its time, whatever is in its text", () => {
  expect(turnLine({ at_s: 430, code: "hold", text: "The hold has begun.", bell: "turn" })).toBe("  7:10  The hold has begun.");
  const hostile = turnLine({ at_s: 1, code: "x", text: "a\u001b[2Jb\nc\u0007", bell: null });
  expect(hostile).toBe("  0:01  ab c");
});

test("ten-second lines come once a mark, at any pace", () => {
  expect(TICK_SECONDS).toBe(10);
  const times = [0, 0.1, 9.9, 10, 10.1, 19.99, 20.0, 47, 48];
  const due = times.slice(1).filter((now, i) => tickDue(times[i] ?? 0, now));
  expect(due).toEqual([10, 20, 47]);
});

describe("the ten-second line", () => {
  test("of a hold", () => {
    expect(tickLine(viewOf("hold"), "mbar")).toBe(
      "  9:10  hold · 97.1 mbar · 2:00 left · drop 3.1 mbar of 15.0 mbar · at the end 6.2 mbar",
    );
  });

  test("says what is wrong", () => {
    expect(tickLine(viewOf("hold-will-fail"), "mbar")).toContain("will fail");
    expect(tickLine(viewOf("silent"), "mbar")).toContain("gauge line down");
    expect(tickLine(viewOf("alarm"), "mbar", 1500)).toContain("ALARM: 123.4 mbar is above");
    const quiet = { ...viewOf("hold"), gauge: { ...viewOf("hold").gauge, silent_s: 12 } };
    expect(tickLine(quiet, "mbar")).toContain("gauge silent 0:12");
  });
});

describe("a verdict in lines", () => {
  test("makes no hole of a fall within its own uncertainty", () => {
    const tight = { ...PASSED, hold: { ...PASSED.hold, drop_Pa: 3, u_drop_Pa: 2 } };
    const leak = verdictLines(tight, "mbar").find((line) => line.startsWith("leak:"));
    expect(leak).toBe("leak: none to be told in the fall of the pressure");
  });

  test("a pass", () => {
    expect(verdictLines(PASSED, "mbar")).toEqual([
      "PASS: tight by this method",
      "hold: 4:00 of 4:00, from 7:10 to 11:10; start 100.3 mbar, end 94.1 mbar",
      // U = 2 u = 12.4 Pa, written with two digits and the value to the same place (JCGM 100:2008, 7.2.6).
      "drop: 6.20 ± 0.12 mbar (95 %), permitted 15.0 mbar",
      "probability that the true drop is within the limit: over 99.9 %",
      "leak: 1.6 % of the pressure per minute; 4.6 L/min at test pressure; 5.1 L/min of free air; as much as one round sharp-edged hole (discharge 0.61) of about 1 mm would lose",
      "remark: The air cooled by 0.1 K during the hold, which looks like 39 Pa of loss.",
      "method: EN 1610 air test, method LC (EN 1610:2015, 13.2)",
      "judged live, simple rule, 6700 readings",
    ]);
  });

  test("a void one gives every reason", () => {
    const verdict = CANNED["void"]?.view.verdict;
    const lines = verdictLines(verdict ?? PASSED, "mbar");
    expect(lines[0]).toBe("VOID: this attempt proves nothing");
    expect(lines.filter((line) => line.startsWith("reason: "))).toHaveLength(2);
    expect(lines.some((line) => line.startsWith("probability"))).toBe(false);
    expect(lines.some((line) => line.startsWith("leak"))).toBe(false);
  });

  test.each(["simulated", "imported", "pseudo-terminal"] as const)("a %s one proves no section and says so", (source) => {
    const lines = verdictLines({ ...PASSED, source }, "mbar");
    expect(lines[1]).toBe(`${source.toUpperCase()}: proves no section`);
    expect(sourceWord("gauge")).toBeNull();
  });

  test("without a hold, with a floor, with a time of the drop", () => {
    const none = { ...PASSED.hold, from_s: null, to_s: null, start_Pa: null, end_Pa: null, drop_Pa: null };
    expect(verdictLines({ ...PASSED, hold: none }, "mbar")).toContain("hold: none was made; the method asks for 4:00");
    expect(verdictLines({ ...PASSED, hold: { ...PASSED.hold, floor_Pa: 8500 } }, "mbar")).toContain(
      "must remain: 85.0 mbar, remained 94.1 mbar",
    );
    expect(verdictLines({ ...PASSED, hold: { ...PASSED.hold, time_s: 312.4, u_time_s: 1.2 } }, "psi")).toContain(
      "time of the drop: 312.4 s ± 2.4 s (95 %), at least 240.0 s wanted",
    );
  });

  test("text from outside cannot reach the terminal's controls", () => {
    const verdict = { ...PASSED, method: { id: "x", title: "Own\u001b]0;gotcha\u0007", source: "site\u001b[31m" } };
    expect(verdictLines(verdict, "mbar").join("\n")).not.toContain("\u001b");
  });
});
