/**
 * The reply to a query for a pressure: `+1.02345E+04`, `10.2 KPA`, or one of three numbers that mean there is none.
 *
 * The sentinels: SCPI-1999 volume 1 §7.2.1.4 and §7.2.1.5 (section numbers from memory; the values are repeated in
 * instrument makers' programming guides).
 */
import type { Reading } from "../../src/core/driver.ts";
import { readFigure, type SpokenUnit, unitMemory } from "./figure.ts";

const SENTINEL_NAN = 9.91e37;
const SENTINEL_INFINITY = 9.9e37;

/** Sentinels come rounded to whatever digits the instrument prints, so a hair's breadth either side counts. */
function sentinel(value: number): "not-a-number" | "overload" | null {
  const near = (mark: number) => Math.abs(Math.abs(value) - mark) <= mark * 1e-4;
  if (near(SENTINEL_NAN)) return "not-a-number";
  return near(SENTINEL_INFINITY) ? "overload" : null;
}

/** Reads one reply, its pressure in figure `field` counted from 1; `null` when it is none. */
export function replyReader(field: number, unitUnsaid: SpokenUnit): (text: string, at_ms: number) => Reading | null {
  const unitOf = unitMemory();
  return (text, at_ms) => {
    const spot = text.split(",")[field - 1];
    const figure = spot === undefined ? null : readFigure(spot, "point");
    if (figure === null || figure.kind === "noise") return null;
    if (figure.kind === "status") return { at_ms, pressure_Pa: null, unit: null, status: figure.status };
    const spoken = figure.suffix === "" ? null : unitOf(figure.suffix);
    const nothing = sentinel(figure.value);
    if (nothing !== null)
      return {
        at_ms,
        pressure_Pa: null,
        unit: spoken?.name ?? null,
        status: nothing,
      };
    const unit = figure.suffix === "" ? unitUnsaid : spoken;
    if (unit === null) return { at_ms, pressure_Pa: null, unit: null, status: "unit-unknown" };
    return {
      at_ms,
      pressure_Pa: figure.value * unit.factor_Pa,
      unit: spoken?.name ?? null,
    };
  };
}
