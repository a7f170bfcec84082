import { feet } from "./american.ts";
import { askedDn_mm, askedHold_s, askedLength_m } from "./asked.ts";
import { figure, finish, inMinutes, inUnit } from "./finish.ts";
import type { Limits } from "./limits.ts";
import type { Method, Pipe } from "./method.ts";
import { nominalInches } from "./sizes.ts";
import { inHg_Pa } from "./words.ts";

const NAME = { id: "astm-c1244", title: "ASTM C1244, manhole under vacuum, 10 to 9 inHg", source: "ASTM C1244, Table 1" };

/** Table 1, seconds by depth and diameter: from memory, these three columns only; 67 s (72 in, 16 ft) stands off the trend of 65. */
const DEPTHS_ft: readonly number[] = [8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30];
const TIMES_s: ReadonlyMap<number, readonly number[]> = new Map([
  [48, [20, 25, 30, 35, 40, 45, 50, 55, 59, 64, 69, 74]],
  [60, [26, 33, 39, 46, 52, 59, 65, 72, 78, 85, 91, 98]],
  [72, [33, 41, 49, 57, 67, 73, 81, 89, 97, 105, 113, 121]],
]);

/** The next deeper row for a depth between two; 8 ft for all that is less. `null` outside the table. */
function tableTime(d_in: number, depth_ft: number): { time_s: number; row_ft: number } | null {
  const index = DEPTHS_ft.findIndex((one) => one >= depth_ft - 0.05);
  const time_s = TIMES_s.get(d_in)?.[index];
  const row_ft = DEPTHS_ft[index];
  return time_s === undefined || row_ft === undefined ? null : { time_s, row_ft };
}

function holdOf(pipe: Pipe): { hold_s: number; working: string } {
  const d_in = nominalInches(askedDn_mm(NAME.id, pipe));
  const size = `${figure(Number(d_in.toFixed(1)))} in`;
  const known = TIMES_s.has(d_in);
  if (!known) {
    const hold_s = askedHold_s(
      NAME.id,
      pipe,
      `of its table only the columns of 48, 60 and 72 in are known here, from memory, and this is ${size}`,
    );
    return { hold_s, working: `Hold: ${inMinutes(hold_s)} as told, no column for ${size} is known here` };
  }
  const depth_ft = feet(askedLength_m(NAME.id, pipe, "chamber's depth"));
  const found = tableTime(d_in, depth_ft);
  const depth = `${figure(Number(depth_ft.toFixed(1)))} ft deep`;
  if (found !== null) return { hold_s: found.time_s, working: `Table 1, ${size}, ${depth}, row of ${found.row_ft} ft: ${found.time_s} s` };
  const hold_s = askedHold_s(NAME.id, pipe, `its table ends at 30 ft, and this chamber is ${depth}`);
  return { hold_s, working: `Hold: ${inMinutes(hold_s)} as told, ${depth} is beyond the table` };
}

function limits(pipe: Pipe): Limits {
  const { hold_s, working } = holdOf(pipe);
  return finish(
    {
      method: NAME,
      charge_Pa: inHg_Pa(-10.4),
      settle_s: 30,
      test_Pa: inHg_Pa(-10),
      hold_s,
      permittedDrop_Pa: inHg_Pa(1),
      boundary: "less-or-equal",
      chamber: true,
      unit: "inHg",
      provenance:
        "10 inHg and 1 inHg: read in town codes. Times: from memory, not found printed; towns set longer ones (60 to 150 s, 2 to 3 min, read): --hold. Charge and settling: common practice, no source.",
      working: [
        `Vacuum ${inUnit(inHg_Pa(-10), "inHg")}, at most ${inUnit(inHg_Pa(1), "inHg")} lost`,
        working,
        "Charge: 10.4 inHg, valve shut, 30 s to settle (common practice, no source)",
      ],
      cautions: [
        "Vacuum and water results are not related, and misuse can damage the chamber (notes, read).",
        "A cap over a chamber was thrown off when water backed up beneath it (accident report, read): plug every inlet and keep off.",
      ],
    },
    pipe,
  );
}

export const C1244: readonly Method[] = [{ ...NAME, summary: "10 inHg of vacuum, 1 inHg lost in a time by depth and size", limits }];
