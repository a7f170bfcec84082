import { linearRegression } from "simple-statistics";
import { expect, it } from "vitest";
import { zeroDriftOf } from "../../../src/core/review/zeroDrift.ts";

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
