import { RECORD_SOURCES } from "../core/link.ts";
import type { KitCheck } from "./gaugeLogs.ts";
import type { Archive } from "./open.ts";
import { sealedEntries } from "./sealedEntries.ts";
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

/**
 * The kit checks of the day as they were sealed with a record; the gauge's own file lies open and may say otherwise. `null`: no seal of it can be
 * read. Whether the seal fits is not looked at.
 */
export function sealedKitChecks(archive: Archive, id: string): KitCheck[] | null {
  for (const { kind, head } of sealedEntries(archive, id, false)) {
    if (kind !== "record" || head === null) continue;
    const checks = field(head, "kit_checks");
    return Array.isArray(checks) ? checks.filter(isCheck) : [];
  }
  return null;
}
