import { toUnit } from "../units.ts";

/**
 * The leak hunt: how a loss is made to be seen and heard. Both go by the loss alone, never by a rise.
 */

/** The bell never rings quicker: terminals run closer strokes together (common practice, no source). */
const QUICKEST_PULSE_ms = 250;
/** A pulse rarer than this is taken for silence by whoever listens. */
const RAREST_PULSE_ms = 5000;
/** The loss at which it rings as fast as it may. */
const LOUDEST_mmH2O_min = 100;

/**
 * Time between two pulses for a loss, `null` for silence. Pulses a second go with the square root of the loss: a leak four times
 * as large sounds twice as fast, and from a quarter of a mmH2O a minute to a hundred each is told from the next. The scale is
 * fixed, so that one sound means one leak all day.
 */
export function pulseGap_ms(loss_Pa_min: number): number | null {
  if (!(loss_Pa_min > 0)) return null;
  const gap_ms = QUICKEST_PULSE_ms * Math.sqrt(LOUDEST_mmH2O_min / toUnit(loss_Pa_min, "mmH2O"));
  return gap_ms > RAREST_PULSE_ms ? null : Math.max(QUICKEST_PULSE_ms, gap_ms);
}

/** End of the bar's scale: the smallest of 1, 2, 5, 10, 20, 50 … (in the unit's own figures) that `largest` does not pass; 1 at least. */
export function barEnd(largest: number): number {
  if (!(largest > 1)) return 1;
  const decade = 10 ** Math.floor(Math.log10(largest));
  const found = [1, 2, 5, 10].find((step) => step * decade >= largest * (1 - 1e-9));
  return (found ?? 10) * decade;
}
