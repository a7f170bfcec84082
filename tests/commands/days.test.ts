import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { dayFrom, isoTime } from "../../src/commands/days.ts";
import { dayOf, wallTime } from "../../src/terminal/wall.ts";

const NO_TIMES = [Number.NaN, 1e300, -1e300, Number.POSITIVE_INFINITY];

describe("a stamp as people read it", () => {
  it("is the day and minute of this machine's wall clock", () => {
    const wall_ms = new Date(2026, 2, 1, 8, 5, 59).getTime();
    expect([dayOf(wall_ms), wallTime(wall_ms)]).toEqual(["2026-03-01", "2026-03-01 08:05"]);
  });

  it("is dashes, as wide, when it is no time", () => {
    for (const stamp of NO_TIMES) expect([dayOf(stamp), wallTime(stamp)]).toEqual(["----------", "---------- --:--"]);
    expect(wallTime(null)).toBe("---------- --:--");
  });
});

describe("a stamp as programs read it", () => {
  it("is ISO 8601 in UTC, or null when it is no time", () => {
    expect(isoTime(Date.UTC(2026, 2, 1, 8, 5, 59, 7))).toBe("2026-03-01T08:05:59.007Z");
    for (const stamp of [null, ...NO_TIMES]) expect(isoTime(stamp)).toBeNull();
  });
});

describe("a day that was typed", () => {
  it("comes back when the calendar has it", () => {
    const day = fc.date({ min: new Date("1990-01-01"), max: new Date("2099-12-31"), noInvalidDate: true });
    fc.assert(
      fc.property(day, (date) => {
        const typed = date.toISOString().slice(0, 10);
        expect(dayFrom("--due", ` ${typed} `)).toBe(typed);
      }),
    );
  });

  it.each(["2026-02-29", "2026-13-01", "2026-04-31", "01.03.2026", "2026-3-1", "1989-12-31", "2100-01-01", ""])(
    "is refused when it is %j",
    (word) => {
      expect(() => dayFrom("--due", word)).toThrow(expect.objectContaining({ code: "day-unreadable", exit: 64 }));
    },
  );
});
