import type { PipeState } from "./state.ts";
import { barometer_Pa } from "./weather.ts";

/** Names the simulated talker gives its transducers. */
export const XDR_NAMES = { pressure: "PIPE", air: "AIR", ambient: "OUTSIDE" } as const;

/**
 * The pipe's pressure as an NMEA 0183 sentence; `digits` behind the point in pascal, five more in bar.
 *
 *     $YXXDR,P,1234.5,P,PIPE,C,14.87,C,AIR,P,101325.0,P,OUTSIDE*hh CR LF
 */
export function transducerSentence(state: PipeState, digits: number, unit: "Pa" | "bar"): string {
  const { sensors } = state.plan.settings;
  const pressure = unit === "Pa" ? `${state.shown_Pa.toFixed(digits)},P` : `${(state.shown_Pa / 100_000).toFixed(digits + 5)},B`;
  let body = `YXXDR,P,${pressure},${XDR_NAMES.pressure}`;
  if (sensors.air) body += `,C,${(state.thermometer_K - 273.15).toFixed(2)},C,${XDR_NAMES.air}`;
  if (sensors.ambient) body += `,P,${barometer_Pa(state).toFixed(1)},P,${XDR_NAMES.ambient}`;
  let sum = 0;
  for (let i = 0; i < body.length; i++) sum ^= body.charCodeAt(i);
  return `$${body}*${sum.toString(16).toUpperCase().padStart(2, "0")}\r\n`;
}
