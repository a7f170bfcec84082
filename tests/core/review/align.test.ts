import { expect, it } from "vitest";
import { aligned, changeAt } from "../../../src/core/review/align.ts";
import { sampleStart, sampleVerdict } from "../../support/records.ts";
import { reviewCurve } from "../../support/review.ts";

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
