import { isStaunchError } from "../core/errors.ts";
import { LiveJudge } from "../core/judging/liveJudge.ts";
import { isKeyed } from "../core/judging/water/waterJudge.ts";
import type { RecordStart } from "../core/record.ts";
import type { Update } from "../session/session.ts";
import { addZeros, type GaugeZero } from "../storage/gaugeLogs.ts";
import { addSheet } from "../storage/gauges.ts";
import type { Archive } from "../storage/open.ts";
import type { KnownGauge } from "./gaugeOnFile.ts";

/** Said where a test starts, for a gauge with electronics in it. */
const WARM_UP =
  "Gauge: let it warm up for 10 min after switching on (common practice, no source); take its zero before every test and again after venting.";

export const gaugeCautions = (start: Pick<RecordStart, "gauge">): string[] => (isKeyed(start) ? [] : [WARM_UP]);

/**
 * What a test taught of a gauge on file: its zeros, and the name and adapter seen where none was on file. The zero of an absolute gauge is the
 * barometer's, not its own, and is not kept. The verdict is on disk already: trouble here is a complaint and no more.
 */
export function keepHistory(archive: Archive, known: KnownGauge, start: RecordStart, last: Update, complain: (text: string) => void): void {
  try {
    if (last.judge instanceof LiveJudge && start.gauge.reference === "vented")
      addZeros(archive, known.number, zerosFrom(last.judge, start, last));
    const { sheet } = known;
    const identity = sheet.identity ?? last.judge.health.view(0).identity;
    const usb = sheet.usb ?? start.gauge.usb ?? null;
    if (identity !== sheet.identity || usb !== sheet.usb) addSheet(archive, known.number, { ...sheet, identity, usb }, last.event.wall_ms);
  } catch (error) {
    if (!isStaunchError(error)) throw error;
    complain(`staunch: the gauge's zeros were not kept: ${error.message}`);
  }
}

function zerosFrom(judge: LiveJudge, start: RecordStart, { event }: Update): GaugeZero[] {
  const { before_Pa, after_Pa } = judge.zeros();
  const zero = (moment: GaugeZero["moment"], wall_ms: number, zero_Pa: number | null): GaugeZero[] =>
    zero_Pa === null ? [] : [{ wall_ms, zero_Pa, moment, record: start.id }];
  return [...zero("before", start.started_wall_ms, before_Pa), ...zero("after", event.wall_ms, after_Pa)];
}
