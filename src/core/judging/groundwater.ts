import type { Evidence } from "./evidence.ts";
import { reason, wordingOf } from "./reasons.ts";
import type { Spoiler } from "./spoilers.ts";
import { type Remark, remark } from "./weatherRemarks.ts";

/** Air leaks by the difference of both pressures, so water outside at this part of the test pressure halves every leak. */
const DECIDES_PART = 0.5;

/** What it hangs on: the limits alone, however the pressure was read. */
interface Wetted {
  input: Pick<Evidence["input"], "limits">;
  sign: Evidence["sign"];
}

interface Head {
  groundwater_Pa: number;
  test_Pa: number;
  /** What is left of a leak of air against that water, a laminar one: (p₀ − p_w)/p₀. */
  left_part: number;
}

/** Only where the method's thresholds make no allowance; a vacuum is helped by water outside, not hindered. */
function headOf({ input, sign }: Wetted): Head | null {
  const { groundwater_Pa = 0, test_Pa } = input.limits;
  if (groundwater_Pa <= 0 || sign < 0) return null;
  return { groundwater_Pa, test_Pa, left_part: Math.max(0, 1 - groundwater_Pa / test_Pa) };
}

const decides = ({ groundwater_Pa, test_Pa }: Head): boolean => groundwater_Pa >= DECIDES_PART * test_Pa;

/** Water outside hides leaks: no pass from half the test pressure on. A fail stands, for it only hides. */
export function groundwaterSpoilers(evidence: Wetted): Spoiler[] {
  const head = headOf(evidence);
  if (head === null || !decides(head)) return [];
  const words = wordingOf(evidence.input.limits);
  const text = `Groundwater presses on the pipe with ${words.pressure(head.groundwater_Pa)}, half the test pressure of ${words.pressure(head.test_Pa)} or more: it hides leaks, and tightness is not shown.`;
  return [{ reason: reason("groundwater-decides", text, { ...head }), pass: true, fail: false }];
}

export function groundwaterRemarks(evidence: Wetted): Remark[] {
  const head = headOf(evidence);
  if (head === null || decides(head)) return [];
  const text = `Groundwater presses on the pipe with ${wordingOf(evidence.input.limits).pressure(head.groundwater_Pa)}: a leak of air is about ${Math.round(100 * head.left_part)} % of what it would be in dry ground.`;
  return [remark("groundwater", text, { ...head })];
}
