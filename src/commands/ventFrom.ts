import { type StaunchError, usageError } from "../core/errors.ts";
import { indexFrom } from "../core/judging/lineAt.ts";
import { signOf } from "../core/methods/limits.ts";
import { toldVolume_m3 } from "../core/physics/leak.ts";
import { ventArea_m2, ventFall } from "../core/physics/vent.ts";
import type { GaugeFacts } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { readJournal } from "../storage/journal.ts";
import type { Archive } from "../storage/open.ts";
import { findRecord } from "../storage/records.ts";
import { readingsOf } from "./lookAlikes.ts";

const refuse = (id: string, why: string, hint: string): StaunchError =>
  usageError("vent-unknown", `Record ${plainText(id, 60)} does not measure the vent: ${why}.`, hint);

/**
 * The vent's effective area, m², from how fast a section of known volume emptied through it: `{ ventArea_m2 }` to be kept with the gauge's facts.
 * Later tests through the same vent compare the air they let out with the plan. StaunchErrors (64): `vent-unknown`, `record-unknown`.
 */
export function ventFrom(archive: Archive, wanted: string): Pick<GaugeFacts, "ventArea_m2"> {
  const { start, end, number } = findRecord(archive, wanted);
  const { limits } = start;
  const volume_m3 = toldVolume_m3(limits);
  if (volume_m3 === null || limits.medium !== "air")
    throw refuse(start.id, "its section has no known volume", "Name an air test of a section whose DN and laid length were given.");
  const vent = end?.verdict.phases.findLast((phase) => phase.phase === "vent");
  if (vent === undefined) throw refuse(start.id, "the pipe was never opened", "Name a test that ended with the vent opened at the plug.");
  const curve = readingsOf(start, readJournal(archive, number));
  const from = indexFrom(curve.time_s, vent.from_s);
  const size_Pa = curve.pressure_Pa.map((p) => signOf(limits) * p);
  const fall = ventFall(curve.time_s.subarray(from), size_Pa.subarray(from), size_Pa[Math.max(0, from - 1)] ?? 0);
  if (fall === null)
    throw refuse(start.id, "it emptied between too few readings", "A larger section, a smaller vent or a faster gauge shows the fall.");
  return { ventArea_m2: ventArea_m2(volume_m3, fall) };
}
