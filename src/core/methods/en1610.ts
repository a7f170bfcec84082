import { usageError } from "../errors.ts";
import { askedDn_mm, missing } from "./asked.ts";
import { figure, finish, inMinutes, inUnit } from "./finish.ts";
import type { Limits } from "./limits.ts";
import type { Method, Pipe } from "./method.ts";
import { nominalDn } from "./sizes.ts";

/** EN 1610, 13.2: air. Pressures, drops and times of its Table 3; read in a written-out copy of the 2015 edition unless marked. */
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

/** Above it EN 1610 wants water for chambers (13.1, read on a French page about the 2015 edition). */
const CHAMBER_MAX_DN = 1250;

/** Chambers: LA or LB only, up to DN 1250, where national rules do not forbid it. StaunchErrors say which of these is not met. */
function refuseChamber(row: Row, dn_mm: number, national: Pipe["chamberAir"]): void {
  const hint = "Test the chamber with water: en1610-w.";
  if (national === "forbidden")
    throw usageError(
      "chamber-air-forbidden",
      "EN 1610 allows air for chambers only where national rules do not forbid it, and here they do.",
      hint,
    );
  if (row === "LC" || row === "LD")
    throw usageError(
      "chamber-not-covered",
      `EN 1610 allows air for chambers with LA or LB only, not ${row}.`,
      `Use en1610-la or en1610-lb. ${hint}`,
    );
  if (dn_mm > CHAMBER_MAX_DN)
    throw usageError("chamber-too-large", `EN 1610 allows air for chambers up to DN ${CHAMBER_MAX_DN}, not DN ${figure(dn_mm)}.`, hint);
}

const CHAMBER_CAUTION =
  "EN 1610 prefers water for chambers; air here rests on national rules not forbidding it, as was told (--air-in-chamber allowed).";

/** Everything a row says of one pipe; `joint` for the joint test, which takes the figures of the pipe. */
function enLimits(row: Row, method: Limits["method"], pipe: Pipe, joint: { working: string[]; cautions: string[] } | null): Limits {
  const dn_mm = nominalDn(askedDn_mm(method.id, pipe));
  const chamber = pipe.chamberAir !== undefined && joint === null;
  if (chamber) refuseChamber(row, dn_mm, pipe.chamberAir);
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
      hold_s: chamber ? hold_min * 30 : hold_min * 60,
      permittedDrop_Pa: drop_Pa,
      // From memory: the drop measured must be less than the table's.
      boundary: "less",
      unit: "mbar",
      provenance: `Pressures and drop: read in a written-out copy of Table 3. Time: ${provenance}. Conditioning, "less than" and that the air table is the one of 1997: from memory.`,
      working: [
        `${row}: test pressure ${inUnit(test_Pa, "mbar")}, permitted drop ${inUnit(drop_Pa, "mbar")}`,
        ...(pipe.material === null ? ["No material given: reckoned as all other materials, the longer time"] : []),
        ...(dn_mm === pipe.dn_mm ? [] : [`${figure((pipe.dn_mm ?? 0) / 25.4)} in is DN ${figure(dn_mm)}`]),
        ...working,
        ...(chamber ? [`Chamber: half the pipe's time = ${figure(hold_min / 2)} min (13.2, read)`] : []),
        ...(joint?.working ?? []),
        `Charge: about 10 % above the test pressure = ${inUnit((11 * test_Pa) / 10, "mbar")} (from memory)`,
        `Settle: ${inMinutes(settle_s)} at least (${dn_mm > 500 ? "DN/100 min above DN 500, a clay-pipe guide" : "from memory; a clay-pipe guide says the same up to DN 500"})`,
      ],
      cautions: [
        ...(chamber ? [CHAMBER_CAUTION] : []),
        ...(joint?.cautions ?? []),
        ...(dn_mm > 1000 && joint === null
          ? [
              "Above DN 1000 sections are usually tested joint by joint (from memory of 13.4; see en1610-joint); whole-section air is for a competent person to decide.",
            ]
          : []),
        "A failed air test may be followed by the water test of EN 1610, whose result alone then decides.",
      ],
      ...(pipe.chamberAir === undefined ? {} : { chamber }),
      ...(joint === null ? {} : { testOpen: true }),
      groundwaterRule:
        "EN 1610, 13.1, then asks for a procedure of the design's own (infiltration test or a higher test pressure): no threshold is raised here.",
    },
    pipe,
  );
}

/** Length of pipe that stands for one joint (13.4, from memory). */
const JOINT_LENGTH_m = 1;
const ROWS: readonly Row[] = ["LA", "LB", "LC", "LD"];
const JOINT = { id: "en1610-joint", title: "EN 1610, air, joint by joint", source: "EN 1610:2015, 13.4" };

/** The pressure is specified for each job; that of a row brings the row's drop and time. */
function jointLimits(pipe: Pipe): Limits {
  const known = ROWS.map((row) => inUnit(PRESSURES_mbar[row].test * 100, "mbar")).join(", ");
  if (pipe.test_Pa === undefined)
    throw missing(JOINT.id, "the test pressure", '--test-pressure "100 mbar"', "EN 1610 leaves joint tests to be specified individually");
  const asked_Pa = pipe.test_Pa;
  const row = ROWS.find((one) => Math.abs(PRESSURES_mbar[one].test * 100 - asked_Pa) < 1);
  if (row === undefined)
    throw usageError(
      "test-pressure-unknown",
      `${inUnit(asked_Pa, "mbar")} is the test pressure of no row of Table 3, so that no drop and time go with it.`,
      `Known: ${known}; other figures as a method file.`,
    );
  const dn_mm = askedDn_mm(JOINT.id, pipe);
  const { chamberAir, ...rest } = pipe;
  if (chamberAir !== undefined)
    throw usageError("chamber-not-covered", "A chamber has no joint test here.", "Chambers: en1610-la or en1610-lb.");
  return enLimits(
    row,
    JOINT,
    { ...rest, laid_length_m: JOINT_LENGTH_m },
    {
      working: [`One joint: ${JOINT_LENGTH_m} m of pipe stands for it, tested with the figures of the pipe (13.4, from memory)`],
      cautions: [
        ...(dn_mm <= 1000 ? ["Joints are tested one by one normally above DN 1000 only (from memory of 13.4)."] : []),
        "Nobody stays in the pipe with the packer under pressure unless its maker and a competent person allow it.",
      ],
    },
  );
}

function method(row: Row): Method {
  const { test, drop } = PRESSURES_mbar[row];
  const name = { id: `en1610-${row.toLowerCase()}`, title: `EN 1610, air, ${row}`, source: SOURCE };
  return {
    ...name,
    summary: `${test} mbar, at most ${drop} mbar lost in a time by DN and material`,
    limits: (pipe) => enLimits(row, name, pipe, null),
  };
}

const joint: Method = {
  ...JOINT,
  summary: "figures of the pipe at the pressure specified, 1 m for each joint",
  limits: jointLimits,
};

export const EN1610: readonly Method[] = [method("LA"), method("LB"), method("LC"), method("LD"), joint];
