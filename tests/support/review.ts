import type { Curve } from "../../src/core/curve.ts";
import { type OpenedRecord, openedFrom } from "../../src/core/review/opened.ts";
import type { ReviewRow } from "../../src/core/review/row.ts";
import { sampleEnd, sampleStart } from "./records.ts";

/** Rows and records for reviews, made up; places and people do not exist. */

export const reviewRow = (over: Partial<ReviewRow> = {}): ReviewRow => ({
  number: 1,
  id: "20260301-081500-a1b2",
  started_wall_ms: Date.UTC(2026, 2, 1, 8, 15),
  day: "2026-03-01",
  section: "Elderbrook S3-S4",
  stage: "laid",
  method: "sample-100mm",
  gauge: "east",
  tester: "R. Tarn",
  source: "gauge",
  word: "pass",
  codes: "",
  second: "pass",
  differs: false,
  state: "unreviewed",
  standing: "",
  drop: 0.32,
  ...over,
});

/** Charged in 60 s, settling to 320 s, a hold of 300 s that loses `drop_Pa`, then opened: two readings a second, one of them apart. */
export function reviewCurve(drop_Pa = 78): Curve {
  const time_s = Float64Array.from({ length: 1300 }, (_, i) => i / 2);
  const pressure_Pa = time_s.map((s, i) => {
    if (s < 60) return 1080 * (s / 60);
    if (s < 320) return 981 + 99 * Math.exp(-(s - 60) / 50) + (i % 3) - 1;
    if (s < 625) return 981.2 - (drop_Pa * (s - 320)) / 300 + (i % 3) - 1;
    return 0;
  });
  pressure_Pa[900] = 1400;
  const air_C = time_s.map((s) => Math.round(150 + s / 60) / 10);
  const ambient_Pa = time_s.map((s) => 101_325 - s / 10);
  return { time_s, pressure_Pa, air_C, ambient_Pa };
}

/** The same test read off a U-tube: fourteen readings by eye. */
export function tubeCurve(drop_Pa = 78): Curve {
  const time_s = Float64Array.of(60, 120, 180, 240, 300, 320, 380, 440, 500, 560, 620, 626, 632, 638);
  const pressure_Pa = time_s.map((s) => {
    if (s < 320) return 981 + 99 * Math.exp(-(s - 60) / 50);
    if (s <= 620) return 981.2 - (drop_Pa * (s - 320)) / 300;
    return Math.max(0, 800 - 50 * (s - 620));
  });
  return { time_s, pressure_Pa, air_C: null, ambient_Pa: null };
}

export function reviewRecord(
  over: Partial<
    Pick<OpenedRecord, "number" | "reviews" | "signatures" | "second" | "seal" | "sealedAfter_s" | "altered" | "start" | "end">
  > & {
    raw?: Curve;
  } = {},
): OpenedRecord {
  const start = over.start ?? sampleStart();
  const phases = [
    { phase: "charge", from_s: 0, to_s: 60 },
    { phase: "settle", from_s: 60, to_s: 320 },
    { phase: "hold", from_s: 320, to_s: 620 },
    { phase: "vent", from_s: 620, to_s: 650 },
  ] as const;
  const end = over.end === undefined ? sampleEnd(start, { phases: [...phases] }) : over.end;
  const drop_Pa = end?.verdict.hold.drop_Pa ?? 78;
  const parts = {
    raw: reviewCurve(drop_Pa),
    number: 1,
    reviews: [],
    signatures: [],
    second: null,
    seal: "5e".repeat(32),
    sealedAfter_s: 0,
    altered: null,
    ...over,
    start,
    end,
  };
  return openedFrom(parts);
}
