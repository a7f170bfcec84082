import { usageError } from "../errors.ts";
import { figure, finish, inMinutes, inUnit } from "./finish.ts";
import type { Limits } from "./limits.ts";
import type { Method, Pipe } from "./method.ts";

/** EN 1610, 13.2: air. Pressures, drops and times of its Table 3; read in a transcript of the 2015 edition unless marked. */
const SOURCE = "EN 1610:2015, 13.2, Table 3";

type Row = "LA" | "LB" | "LC" | "LD";

const PRESSURES_mbar: Readonly<Record<Row, { test: number; drop: number }>> = {
  LA: { test: 10, drop: 2.5 },
  LB: { test: 50, drop: 10 },
  LC: { test: 100, drop: 15 },
  LD: { test: 200, drop: 15 },
};

/** Printed times, min. */
const TABLE_DN = [100, 200, 300, 400, 600, 800, 1000];
const TABLE_min: Readonly<Record<"dry" | "other", Readonly<Record<Row, readonly number[]>>>> = {
  dry: {
    LA: [5, 5, 5, 7, 11, 14, 18],
    LB: [4, 4, 4, 6, 8, 11, 14],
    LC: [3, 3, 3, 4, 6, 8, 10],
    LD: [1.5, 1.5, 1.5, 2, 3, 4, 5],
  },
  // "Wet concrete and all other materials"; LC from DN 800 and all of LD are from memory.
  other: {
    LA: [5, 5, 7, 10, 14, 19, 24],
    LB: [4, 4, 6, 7, 11, 15, 19],
    LC: [3, 3, 4, 5, 8, 11, 14],
    LD: [1.5, 1.5, 2, 2.5, 4, 5, 7],
  },
};

/** Kp = 16/DN for dry concrete (from memory), 12/DN for all else (read in a German authority guideline), at most 0.058 per min. */
const KP = { dry: 16, other: 12 };
const KP_MAX = 0.058;

/** Up to 5 min to the nearest half minute, above to the nearest minute (read in the same guideline). */
const roundTime_min = (time_min: number): number => (time_min <= 5 ? Math.round(time_min * 2) / 2 : Math.round(time_min));

/** About 5 min at about 10 % above the test pressure (from memory of 13.2); a clay-pipe guide to it (read): DN/100 min above DN 500. */
const settle_min = (dn_mm: number): number => (dn_mm > 500 ? dn_mm / 100 : 5);

function holdTime(row: Row, concrete: "dry" | "other", dn_mm: number): { hold_min: number; working: string[]; provenance: string } {
  const { test, drop } = PRESSURES_mbar[row];
  const kp = Math.min(KP[concrete] / dn_mm, KP_MAX);
  const exact_min = Math.log(test / (test - drop)) / kp;
  const rounded_min = roundTime_min(exact_min);
  const printed_min = TABLE_min[concrete][row][TABLE_DN.indexOf(dn_mm)];
  const hold_min = printed_min ?? rounded_min;
  const working = [
    `Kp = ${KP[concrete]}/DN = ${figure(KP[concrete] / dn_mm)} per min${kp === KP_MAX ? `, at most ${KP_MAX}` : ""} (${concrete === "dry" ? "dry concrete" : "wet concrete and all other materials"})`,
    `t = ln(p0/(p0 − Δp))/Kp = ln(${test}/${test - drop})/${figure(kp)} = ${exact_min.toFixed(2)} min, rounded to ${figure(rounded_min)} min`,
    printed_min === undefined
      ? `DN ${figure(dn_mm)} is not in Table 3: the formula stands${dn_mm > 1000 ? ", beyond the table's last column" : ""}`
      : `Table 3, ${row}, DN ${dn_mm}: ${figure(printed_min)} min${printed_min === rounded_min ? "" : `; the printed time stands although the formula gives ${figure(rounded_min)} min`}`,
  ];
  const memoryCell = concrete === "other" && (row === "LD" || (row === "LC" && dn_mm >= 800));
  const cell = memoryCell ? "cell from memory" : "cell read there";
  const formula = `formula from memory, Kp ${concrete === "dry" ? "from memory" : "read in an authority guideline"}`;
  return { hold_min, working, provenance: printed_min === undefined ? formula : cell };
}

function limits(row: Row, method: Limits["method"], pipe: Pipe): Limits {
  const { dn_mm } = pipe;
  if (dn_mm === null)
    throw usageError(
      "dn-missing",
      `${method.id} takes its hold from the pipe's size, and no DN was given.`,
      "Add the DN the specification names, such as --dn 300.",
    );
  const concrete = pipe.material === "dry-concrete" ? "dry" : "other";
  const { hold_min, working, provenance } = holdTime(row, concrete, dn_mm);
  const test_Pa = PRESSURES_mbar[row].test * 100;
  const drop_Pa = PRESSURES_mbar[row].drop * 100;
  const settle_s = settle_min(dn_mm) * 60;
  return finish(
    {
      method,
      charge_Pa: (11 * test_Pa) / 10,
      settle_s,
      test_Pa,
      hold_s: hold_min * 60,
      permittedDrop_Pa: drop_Pa,
      // From memory: the drop measured must be less than the table's.
      boundary: "less",
      unit: "mbar",
      provenance: `Pressures and drop: read in a transcript of Table 3. Time: ${provenance}. Conditioning, "less than" and that the air table is the one of 1997: from memory.`,
      working: [
        `${row}: test pressure ${inUnit(test_Pa, "mbar")}, permitted drop ${inUnit(drop_Pa, "mbar")}`,
        ...(pipe.material === null ? ["No material given: reckoned as all other materials, the longer time"] : []),
        ...working,
        `Charge: about 10 % above the test pressure = ${inUnit((11 * test_Pa) / 10, "mbar")} (from memory)`,
        `Settle: ${inMinutes(settle_s)} at least (${dn_mm > 500 ? "DN/100 min above DN 500, a clay-pipe guide" : "from memory; a clay-pipe guide says the same up to DN 500"})`,
      ],
      cautions: [
        ...(dn_mm > 1000
          ? [
              "Above DN 1000 sections are usually tested joint by joint (from memory of 13.4); whole-section air is for a competent person to decide.",
            ]
          : []),
        "A failed air test may be followed by the water test of EN 1610, whose result alone then decides.",
      ],
    },
    pipe,
  );
}

function method(row: Row): Method {
  const { test, drop } = PRESSURES_mbar[row];
  const name = { id: `en1610-${row.toLowerCase()}`, title: `EN 1610, air, ${row}`, source: SOURCE };
  return {
    ...name,
    summary: `${test} mbar, at most ${drop} mbar lost in a time by DN and material`,
    limits: (pipe) => limits(row, name, pipe),
  };
}

export const EN1610: readonly Method[] = [method("LA"), method("LB"), method("LC"), method("LD")];
