import type { RecordStart } from "../core/record.ts";
import { findGauge, knowsGauges } from "./gauges.ts";
import type { Archive } from "./open.ts";
import type { SealedHead } from "./sealHead.ts";
import { field, has, type Kinds } from "./shape.ts";
import { guarded } from "./trouble.ts";

/** What a head says of one kit check. */
interface SealedCheck {
  wall_ms: number;
  drop_Pa: number;
  allowed_Pa: number;
  passed: boolean;
}

const CHECK: Kinds = { wall_ms: "number", drop_Pa: "number", allowed_Pa: "number", passed: "boolean" };
const isCheck = (value: unknown): value is SealedCheck => has(value, CHECK);

/**
 * Kit checks lie open in the gauge's file and are shown beside the record: those sealed with it must still be there as they were. `null`: they are,
 * or another gauge bears the name here.
 */
export function sealedChecksFault(archive: Archive, head: SealedHead, { name, serial }: RecordStart["gauge"]): string | null {
  const sealed = field(head, "kit_checks");
  if (name === undefined || !Array.isArray(sealed) || sealed.length === 0 || !knowsGauges(archive)) return null;
  return guarded(archive.path, () => {
    const gauge = findGauge(archive, name);
    if (gauge === null || (gauge.sheet.serial ?? null) !== (serial ?? null)) return null;
    const ask = archive.db.prepare<[number, number, number, number, number], number>(
      "select 1 from kit_checks where gauge = ? and wall_ms = ? and drop_Pa = ? and allowed_Pa = ? and passed = ?",
    );
    const isThere = ({ wall_ms, drop_Pa, allowed_Pa, passed }: SealedCheck): boolean =>
      ask.get(gauge.number, wall_ms, drop_Pa, allowed_Pa, passed ? 1 : 0) !== undefined;
    return sealed.filter(isCheck).every(isThere) ? null : "a kit check sealed with it is not in the gauge's file as it was";
  });
}
