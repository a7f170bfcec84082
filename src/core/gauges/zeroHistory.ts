import { median } from "../judging/lineAt.ts";

/** A zero as it was kept: before or after the test of one record. */
export interface KeptZero {
  zero_Pa: number;
  moment: "before" | "after";
  record: string | null;
}

/** The largest change of a gauge's zero within one test, over the tests whose zero was seen at both ends; `null`: never seen. */
export function driftInTests(zeros: readonly KeptZero[]): number | null {
  const before = new Map(zeros.flatMap((z) => (z.moment === "before" && z.record !== null ? [[z.record, z.zero_Pa] as const] : [])));
  let worst_Pa: number | null = null;
  for (const { moment, record, zero_Pa } of zeros) {
    const first_Pa = record === null || moment === "before" ? undefined : before.get(record);
    if (first_Pa !== undefined) worst_Pa = Math.max(worst_Pa ?? 0, Math.abs(zero_Pa - first_Pa));
  }
  return worst_Pa;
}

/** Two zeros so near in time stand for the length of one test; longer ones are mornings and evenings. */
const ONE_TEST_MS = 3 * 3_600_000;
const LEAST = 3;

/**
 * How far a gauge's zero usually moves in a test: the median change between neighbouring zeros at most three hours apart, Pa; `null` with
 * fewer than three. A median, for whoever presses the gauge's zero key between two tests makes a change that is no drift.
 */
export function usualDrift(zeros: readonly { wall_ms: number; zero_Pa: number }[]): number | null {
  const inTime = [...zeros].sort((a, b) => a.wall_ms - b.wall_ms);
  const changes = inTime.flatMap((zero, i) => {
    const before = inTime[i - 1];
    return before === undefined || zero.wall_ms - before.wall_ms > ONE_TEST_MS ? [] : [Math.abs(zero.zero_Pa - before.zero_Pa)];
  });
  return changes.length < LEAST ? null : median(changes);
}
