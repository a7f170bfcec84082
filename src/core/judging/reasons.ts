import { displayUnit } from "../methods/displayUnit.ts";
import type { Limits } from "../methods/limits.ts";
import type { FailCode, Finding, VoidCode } from "../record.ts";
import { toUnit } from "../units.ts";

export type Reason = Finding<VoidCode | FailCode>;

/** Writes pressures in the unit the method is worded in, durations in seconds or minutes. */
export interface Wording {
  pressure(value_Pa: number): string;
  /** With its sign, for changes. */
  change(value_Pa: number): string;
  duration(value_s: number): string;
}

export function wordingOf(limits: Pick<Limits, "test_Pa" | "permittedDrop_Pa" | "water">): Wording {
  const unit = displayUnit(limits);
  const pressure = (value_Pa: number): string => {
    const value = toUnit(value_Pa, unit);
    return `${Number(value.toPrecision(Math.abs(value) < 1 ? 2 : 4))} ${unit}`;
  };
  return {
    pressure,
    change: (value_Pa) => `${value_Pa >= 0 ? "+" : "−"}${pressure(Math.abs(value_Pa))}`,
    duration: (value_s) => (value_s < 120 ? `${Math.round(value_s)} s` : `${Math.round(value_s / 6) / 10} min`),
  };
}

export const reason = (code: VoidCode | FailCode, text: string, figures: Record<string, number | null> = {}): Reason => ({
  code,
  text,
  figures,
});

/** The order in which reasons are told: what broke the attempt first, what made it doubtful after. */
const ORDER: readonly (VoidCode | FailCode)[] = [
  "gross-leak",
  "drop-over-limit",
  "below-floor",
  "not-charged",
  "unit-changed",
  "clock-stepped",
  "sudden-loss",
  "sudden-step",
  "topped-up",
  "gauge-silent",
  "bad-readings",
  "interrupted",
  "hold-too-short",
  "start-out-of-tolerance",
  "level-out-of-band",
  "not-settled",
  "settle-too-short",
  "drift-decides-temperature",
  "drift-decides-barometer",
  "zero-drift-decides",
  "groundwater-decides",
  "gauge-not-proven",
];

export const inOrder = (reasons: readonly Reason[]): Reason[] => [...reasons].sort((a, b) => ORDER.indexOf(a.code) - ORDER.indexOf(b.code));
