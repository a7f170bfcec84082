import { limitsFor } from "../../src/core/methods/index.ts";
import { JUDGE_VERSION, type RecordStart } from "../../src/core/record.ts";

/** A test for benches that need many readings of one: how it starts, and its pressure. */
const limits = limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 50 });
export const start: RecordStart = {
  id: "bench",
  started_wall_ms: 0,
  source: "simulated",
  section: { id: "S1", dn_mm: 150, material: "pvc", laid_length_m: 50 },
  stage: "laid",
  tester: null,
  rule: "simple",
  strict: false,
  limits,
  gauge: { url: "bench:", protocol: "line", reference: "vented", resolution_Pa: 1, accuracy_fraction: null, accuracy_Pa: null },
  program: "bench",
  judge_version: JUDGE_VERSION,
};

/** A charge, a settling, a fall into the band and a hold: every phase has its share, however many readings. Pascal by seconds. */
export function pressure(t_s: number): number {
  if (t_s < 10) return 0;
  if (t_s < 70) return ((t_s - 10) / 60) * 11_000;
  return 10_000 * Math.exp(-(t_s - 500) / 5200) + 3000 * Math.exp(-(t_s - 70) / 25);
}
