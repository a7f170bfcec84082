import type { Reading } from "../../src/core/driver.ts";
import { LiveGauge } from "../../src/core/live/liveGauge.ts";
import { firstLiveState, type LiveFacts, type LiveState, nextLiveState } from "../../src/terminal/screens/liveState.ts";
import { normal } from "../support/pressureCurve.ts";

export const LIVE_FACTS: LiveFacts = {
  gauge: "/dev/ttyUSB0 at 9600 baud, 8N1",
  source: "gauge",
  protocol: "scpi",
  reference: "vented",
  unit: "mmH2O",
  pipe: "DN 150, 45 m",
};

/** Gauges as they may be met: made up, and said so. */
export const LIVE_GAUGES: Readonly<Record<string, () => LiveGauge>> = {
  leaking: () => played((t) => 1080 * Math.exp(-0.0009 * t), 240, 0.4, { air_C: 12.34, ambient_Pa: 101_180 }),
  tight: () => played(() => 1003, 120, 0.4),
  pumping: () => played((t) => 40 * t, 25, 1),
  vacuum: () => played((t) => -3386 + 0.5 * t, 120, 0.5),
  overload: () => {
    const gauge = played(() => 1003, 30, 0.4);
    gauge.reading({ at_ms: 30_200, pressure_Pa: null, unit: null, status: "overload" });
    return gauge;
  },
  gone: () => {
    const gauge = played(() => 1003, 30, 0.4);
    gauge.link(false);
    gauge.time(42_000);
    return gauge;
  },
  mute: () => new LiveGauge({ reference: "vented", volume_m3: null }),
};

function played(pressure_Pa: (t: number) => number, to_s: number, noise_Pa: number, more: Partial<Reading> = {}): LiveGauge {
  const gauge = new LiveGauge({ reference: "vented", volume_m3: 0.795 });
  const deviate = normal(11);
  gauge.time(0);
  gauge.link(true);
  gauge.health.named("EXAMPLE WORKS,PG-1,0017,1.0");
  for (let i = 1; i <= to_s * 5; i++)
    gauge.reading({ at_ms: i * 200, pressure_Pa: Math.round(pressure_Pa(i / 5) + noise_Pa * deviate()), unit: "Pa", ...more });
  return gauge;
}

export function cannedLive(
  name: string,
  columns: number,
  rows: number,
  more: Partial<LiveFacts & { colour: boolean; sound: boolean }> = {},
): LiveState {
  const gauge = LIVE_GAUGES[name]?.();
  if (gauge === undefined) throw new RangeError(name);
  const first = firstLiveState({ colour: true, sound: false, ...LIVE_FACTS, ...more, columns, rows });
  return nextLiveState(first, { kind: "look", now_ms: 0, look: { view: gauge.view(), recent: gauge.recent() } });
}
