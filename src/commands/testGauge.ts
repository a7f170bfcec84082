import type { Limits } from "../core/methods/limits.ts";
import { dayOf } from "../terminal/wall.ts";
import type { Context } from "./command.ts";
import { type ReadyGauge, readyGauge } from "./gauge.ts";
import { askedGauge, type KnownGauge, reasonFor, refuseUnfit, wishesOnFile, withFile } from "./gaugeOnFile.ts";
import { gaugeFrom } from "./judge.ts";

/** The words of a test that are about its gauge. */
export interface GaugeWords {
  gauge: string;
  gaugeReason?: string;
  resolution?: string;
  accuracy?: string;
  strict?: boolean;
}

export interface TestGauge {
  ready: ReadyGauge;
  /** `null`: an address, or a gauge that is only described in a file. */
  known: KnownGauge | null;
}

/** From `--gauge URL or NAME` to a gauge that may be used for these limits. StaunchErrors as of `readyGauge`, `reasonFor` and `refuseUnfit`. */
export function testGauge(words: GaugeWords, pace: number | null, limits: Limits, context: Context): TestGauge {
  const { io } = context;
  const { resolution_Pa, accuracy_fraction, accuracy_Pa } = gaugeFrom(words.gauge, words.resolution, words.accuracy);
  const { url, known } = askedGauge(words.gauge, context, io.err);
  const told = { url, resolution_Pa, accuracy_fraction, accuracy_Pa, pace, bluetoothChild: io.bluetoothChild };
  const wall_ms = io.clock.wall_ms();
  const today = dayOf(wall_ms);
  const reason = known === null ? null : reasonFor(known, words.gaugeReason, today);
  const opened = readyGauge(known === null ? told : wishesOnFile(known, told), limits, io.clock, wall_ms);
  const ready = known === null ? opened : withFile(opened, known, reason);
  if (words.strict) refuseUnfit(ready.facts, limits, today);
  return { ready, known };
}
