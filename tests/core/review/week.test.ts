import { expect, it } from "vitest";
import { weekOf } from "../../../src/core/review/week.ts";

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
