import { lastValueFrom } from "rxjs";
import { findDriver } from "../../drivers/index.ts";
import { simulatedSettings } from "../../drivers/simulated/settings.ts";
import { speakerFor } from "../../drivers/simulated/speaker.ts";
import type { PipeState } from "../../drivers/simulated/state.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { LiveJudge } from "../../src/core/judging/liveJudge.ts";
import type { Clock } from "../../src/core/link.ts";
import type { Limits } from "../../src/core/methods/limits.ts";
import { type GaugeFacts, JUDGE_VERSION, type RecordStart, type Rule } from "../../src/core/record.ts";
import { simulatedLink } from "../../src/links/simulated.ts";
import { runSession, type Update } from "../../src/session/session.ts";

/** Real time that never makes anybody wait: due actions run when the event loop comes round. */
export const restless: Clock = {
  now_ms: () => 0,
  wall_ms: () => 0,
  at: (_due_ms, action) => {
    const turn = setImmediate(action);
    return () => clearImmediate(turn);
  },
};

export interface ClosedLoop {
  start: RecordStart;
  journal: JournalEvent[];
  updates: Update[];
  /** The simulated pipe holds air. */
  last: Update & { judge: LiveJudge };
}

export interface LoopWishes {
  rule?: Rule;
  /** Options of a `sim://` address, such as "leak=0.5&seed=7". */
  sim: string;
  limits: Limits;
  watch?: (state: PipeState) => void;
  /** Keep every update; off where thousands of tests run. */
  keep?: boolean;
  /** Hears every update as it comes, while the judge stands where it then stood. */
  each?: (update: Update) => void;
}

/** One whole test on a simulated pipe: the live judge asks, the crew answers, as fast as the machine allows. */
export async function closedLoop({ rule = "simple", sim, limits, watch, keep = true, each }: LoopWishes): Promise<ClosedLoop> {
  const settings = simulatedSettings(Object.fromEntries(new URLSearchParams(sim)), {
    test_Pa: limits.test_Pa,
    charge_Pa: limits.charge_Pa,
    permittedDrop_Pa: limits.permittedDrop_Pa,
    hold_s: limits.hold_s,
    dn_mm: limits.dn_mm ?? 150,
    length_m: limits.laid_length_m ?? 50,
  });
  const options = { pace: "as-fast-as-possible" as const, real: restless, wallStart_ms: 1_767_225_600_000 };
  const link = simulatedLink(settings, watch === undefined ? options : { ...options, watch });
  const { protocol, driverOptions } = speakerFor(settings);
  const driver = findDriver(protocol).create(driverOptions);
  const start = loopStart(limits, rule, {
    url: `sim://?${sim}`,
    protocol,
    driverOptions,
    reference: driver.reference,
    resolution_Pa: settings.resolution_Pa,
  });
  const journal: JournalEvent[] = [];
  const updates: Update[] = [];
  const session = runSession({ link, driver, start, journal: (event) => void journal.push(event) });
  session.subscribe({
    next: (update) => {
      each?.(update);
      if (keep) updates.push(update);
    },
    error: () => undefined,
  });
  const last = await lastValueFrom(session);
  if (!(last.judge instanceof LiveJudge)) throw new Error("the closed loop is for tests with air");
  return { start, journal, updates, last: { ...last, judge: last.judge } };
}

const loopStart = (
  limits: Limits,
  rule: Rule,
  gauge: Pick<GaugeFacts, "url" | "protocol" | "driverOptions" | "reference" | "resolution_Pa">,
): RecordStart => ({
  id: "20260101-080000-loop",
  started_wall_ms: 1_767_225_600_000,
  source: "simulated",
  section: { id: "S1", dn_mm: limits.dn_mm, material: limits.material, laid_length_m: limits.laid_length_m },
  stage: "laid",
  tester: null,
  rule,
  strict: false,
  limits,
  gauge: { ...gauge, accuracy_fraction: null, accuracy_Pa: null },
  program: "staunch test",
  judge_version: JUDGE_VERSION,
});
