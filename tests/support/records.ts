import type { JournalEvent } from "../../src/core/journal.ts";
import type { RecordEnd, RecordStart, Verdict } from "../../src/core/record.ts";

/** Records made up for tests; places and people do not exist. */

export function sampleStart(over: Partial<RecordStart> = {}): RecordStart {
  return {
    id: "20260301-081500-a1b2",
    started_wall_ms: Date.UTC(2026, 2, 1, 8, 15),
    source: "gauge",
    section: { id: "Elderbrook S3-S4", dn_mm: 300, material: "clay", laid_length_m: 45 },
    stage: "laid",
    tester: "R. Tarn",
    rule: "simple",
    strict: false,
    limits: {
      method: { id: "sample-100mm", title: "A method for tests", source: "invented" },
      medium: "air",
      stop: "fixed-time",
      direction: "pressure",
      charge_Pa: 1078.7315,
      settle_s: 300,
      test_Pa: 980.665,
      hold_s: 300,
      permittedDrop_Pa: 245.16625,
      floor_Pa: null,
      boundary: "less-or-equal",
      startTolerance_Pa: 19.6133,
      top_Pa: 2000,
      dn_mm: 300,
      material: "clay",
      laid_length_m: 45,
      provenance: "invented for tests",
      working: ["hold 300 s"],
      cautions: ["Nobody in line with a plug."],
    },
    gauge: {
      url: "serial:///dev/ttyUSB0?protocol=scpi&baud=9600",
      protocol: "scpi",
      reference: "vented",
      resolution_Pa: 1,
      accuracy_fraction: null,
      accuracy_Pa: 2,
    },
    program: "staunch 0.1.0",
    judge_version: 1,
    ...over,
  };
}

export function sampleVerdict(start: RecordStart, over: Partial<Verdict> = {}): Verdict {
  return {
    schema: "staunch/verdict/1",
    verdict: "pass",
    reasons: [],
    judge: "live",
    judge_version: start.judge_version,
    rule: start.rule,
    source: start.source,
    record: start.id,
    program: start.program,
    method: start.limits.method,
    settled_at_s: 310.1,
    phases: [{ phase: "hold", from_s: 320, to_s: 620 }],
    hold: {
      from_s: 320,
      to_s: 620,
      required_s: 300,
      start_Pa: 981.2,
      end_Pa: 903.05,
      drop_Pa: 78.15,
      permitted_Pa: start.limits.permittedDrop_Pa,
      floor_Pa: null,
      u_drop_Pa: 1.3,
      time_s: null,
      u_time_s: null,
      probability_conforming: 1,
    },
    leak: { decay_per_min: 0.0166, rate_L_min: 0.052, free_air_L_min: 0.053, hole_mm: 0.3 },
    remarks: [],
    readings: 6200,
    ...over,
  };
}

export const sampleEnd = (start: RecordStart, over: Partial<Verdict> = {}): RecordEnd => ({
  ended_wall_ms: start.started_wall_ms + 620_000,
  verdict: sampleVerdict(start, over),
});

const wall0_ms = Date.UTC(2026, 2, 1, 8, 15);

/** One reading as it came down the line. */
export const bytesIn = (seq: number, at_ms: number, line = `${at_ms}\n`): JournalEvent => ({
  seq,
  at_ms,
  wall_ms: wall0_ms + at_ms,
  kind: "bytes-in",
  bytes: new TextEncoder().encode(line),
});

/** So many readings, ten a second, whose noise is at most one count either way (a linear congruential generator: the same each time). */
export function noisyReadings(count: number): JournalEvent[] {
  let seed = 7;
  return Array.from({ length: count }, (_, i) => {
    seed = (seed * 1_103_515_245 + 12_345) % 2 ** 31;
    const noise = Math.floor(seed / 2 ** 16) % 3;
    const counts = Math.round(9810 - i / 200) + noise - 1;
    return bytesIn(i, i * 100 + (Math.floor(seed / 2 ** 20) % 3), `${(counts / 10).toFixed(1)}\r\n`);
  });
}

/** One of each kind, with the awkward values: empty and high bytes, a negative zero shift, control characters, other scripts. */
export function everyKind(): JournalEvent[] {
  const bodies: JournalEvent[] = [
    { seq: 0, at_ms: 0, wall_ms: wall0_ms, kind: "link-up", detail: "/dev/ttyUSB0, 9600 8N1 \u001b[31mred" },
    { seq: 1, at_ms: 1, wall_ms: wall0_ms + 1, kind: "bytes-sent", bytes: new TextEncoder().encode("*IDN?\n") },
    { seq: 2, at_ms: 40, wall_ms: wall0_ms + 40, kind: "bytes-in", bytes: Uint8Array.from({ length: 256 }, (_, i) => i) },
    { seq: 3, at_ms: 40, wall_ms: wall0_ms + 40, kind: "bytes-in", bytes: new Uint8Array(0) },
    { seq: 4, at_ms: 540, wall_ms: wall0_ms + 540, kind: "wake" },
    { seq: 5, at_ms: 600, wall_ms: wall0_ms + 600, kind: "zero", zero_Pa: -0.30000000000000004 },
    { seq: 6, at_ms: 2600, wall_ms: wall0_ms - 3_600_000, kind: "silence", since_ms: 600 },
    { seq: 7, at_ms: 2700, wall_ms: wall0_ms + 2700, kind: "link-down", reason: "Kabel gezogen – naïve, 管" },
    { seq: 8, at_ms: 2800, wall_ms: wall0_ms + 2800, kind: "key", action: "stop" },
    { seq: 9, at_ms: 2800, wall_ms: wall0_ms + 2800, kind: "end", cause: "user", detail: "" },
  ];
  return bodies;
}
