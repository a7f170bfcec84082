import { RECORD_SOURCES } from "../core/link.ts";
import type { KitCheck } from "./gaugeLogs.ts";
import type { SealedHead } from "./sealHead.ts";
import { field, has, type Kinds } from "./shape.ts";

const CHECK: Kinds = {
  wall_ms: "number",
  day: "string",
  pressure_Pa: "number",
  duration_s: "number",
  drop_Pa: "number",
  u_drop_Pa: "number",
  allowed_Pa: "number",
  passed: "boolean",
  source: RECORD_SOURCES,
};
const isCheck = (value: unknown): value is KitCheck => {
  const note = field(value, "note");
  return has(value, CHECK) && (note === null || typeof note === "string");
};

/** The kit checks of the day as they were sealed with a record; the gauge's own file lies open and may say otherwise. */
export function sealedKitChecks(head: SealedHead): KitCheck[] {
  const checks = field(head, "kit_checks");
  return Array.isArray(checks) ? checks.filter(isCheck) : [];
}
