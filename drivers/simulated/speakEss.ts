import type { PipeState } from "./state.ts";
import { barometer_Pa } from "./weather.ts";

/** A temperature and the battery come with every so many pressures. */
const TEMPERATURE_EVERY = 10;
const BATTERY_EVERY = 100;

/**
 * The pipe's gauge as an absolute sensor that notifies the values of drivers/ess.ts: it stands in the hose and sees neither barometer nor gusts.
 *
 *     6D 2A 04 uint32 (0.1 Pa)   6E 2A 02 sint16 (0.01 °C)   19 2A 01 uint8 (%)
 */
export function speakEss(state: PipeState): Uint8Array {
  const { resolution_Pa } = state.plan.settings;
  const absolute_Pa = state.shown_Pa + barometer_Pa(state) + state.gustFast_Pa + state.gustSlow_Pa;
  const tenths = Math.max(0, Math.round(Math.round(absolute_Pa / resolution_Pa) * resolution_Pa * 10));
  const pressure = [0x6d, 0x2a, 4, ...[0, 8, 16, 24].map((shift) => (tenths >>> shift) & 0xff)];
  const air = Math.round((state.thermometer_K - 273.15) * 100);
  const temperature = state.sample % TEMPERATURE_EVERY === 1 ? [0x6e, 0x2a, 2, air & 0xff, (air >> 8) & 0xff] : [];
  const battery = state.sample % BATTERY_EVERY === 1 ? [0x19, 0x2a, 1, 87] : [];
  return Uint8Array.from([...temperature, ...battery, ...pressure]);
}
