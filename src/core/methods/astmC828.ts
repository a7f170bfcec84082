import { usageError } from "../errors.ts";
import { AMERICAN_CAUTIONS, type Length, lengthsOf, raisedPressures, sizeWorking } from "./american.ts";
import { askedDn_mm, askedLength_m } from "./asked.ts";
import { figure, finish, inUnit } from "./finish.ts";
import type { Limits } from "./limits.ts";
import type { Method, Pipe } from "./method.ts";
import { psi_Pa } from "./words.ts";

/**
 * Minutes for 100 ft, 3.5 to 2.5 psi: inches → [min, air loss in ft³/min]. C828-06 Table 1: 4, 8 and 15 in read in its worked examples,
 * the rest from memory, agreeing with the formula read there (T = 0.371e-3 D² L/Q). C924 Table 1 is from memory, the same to 24 in.
 */
const TABLE: readonly (readonly [d_in: number, minutes: number])[] = [
  [4, 0.3],
  [6, 0.7],
  [8, 1.2],
  [10, 1.5],
  [12, 1.8],
  [15, 2.1],
  [18, 2.4],
  [21, 3.0],
  [24, 3.6],
  [27, 4.2],
  [30, 4.8],
  [33, 5.4],
  [36, 6.0],
];

interface Standard {
  name: Limits["method"];
  summary: string;
  largest_in: number;
  provenance: string;
  earlyAcceptance?: string;
  cautions(pipe: Pipe): string[];
}

const SHARED = "4.0 psi, 3.5 psi, 2 min of settling: read in C828 and town codes; 9 psi and 0.433 psi/ft as for ASTM F1417.";

const C828: Standard = {
  name: { id: "astm-c828", title: "ASTM C828, clay pipe, 3.5 to 2.5 psi", source: "ASTM C828-06, Table 1 and 7.1" },
  summary: "from 3.5 psi: a time by size and length to lose 1 psi; adds sizes",
  largest_in: 36,
  provenance: `Times for 4, 8 and 15 in and the formula: read in the standard's examples; the other sizes from memory. ${SHARED}`,
  earlyAcceptance: "the test need not run its full time when the loss is clearly below the permitted one (ASTM C828-06, 7.1, read).",
  cautions: () => [
    "Air passes through dry walls: wet the pipe first (5.1, read).",
    "A test of single segments only locates a leak, it never accepts the section (6.5, read).",
  ],
};

const C924: Standard = {
  name: {
    id: "astm-c924",
    title: "ASTM C924, concrete pipe, 3.5 to 2.5 psi (withdrawn 2013)",
    source: "ASTM C924-02, withdrawn 2013, Table 1",
  },
  summary: "withdrawn 2013; concrete 4 to 24 in, figures as astm-c828",
  largest_in: 24,
  provenance: `Withdrawn in 2013 (read in a catalogue). All times from memory. ${SHARED}`,
  cautions: ({ material }) => [
    "ASTM C924 was withdrawn in 2013: use it only where the contract names it.",
    "Air loss and water leakage are not related (pipe association, read); wet the bore, dry concrete breathes.",
    ...(material !== null && !material.endsWith("concrete") ? ["ASTM C924 speaks of concrete pipe only."] : []),
  ],
};

/** Minutes for one size, to the tenth as the worked examples print them; a size between two rows takes the larger row's longer time. */
function timeOf({ name, largest_in }: Standard, { d_in, length_ft }: Length): { tenths: number; working: string } {
  const row = TABLE.find(([size_in]) => size_in >= d_in - 0.01 && size_in <= largest_in);
  if (row === undefined)
    throw usageError(
      "size-not-covered",
      `${name.id} has no time for ${figure(Number(d_in.toFixed(1)))} in; its table ends at ${largest_in} in.`,
      "Use the method the specification names for this size, or a method file with its figures.",
    );
  const [size_in, minutes] = row;
  const tenths = Math.max(1, Math.round((minutes * length_ft) / 10));
  const between =
    Math.abs(size_in - d_in) < 0.01 ? "" : `, the next size up from ${figure(Number(d_in.toFixed(2)))} in (common practice, no source)`;
  return {
    tenths,
    working: `${size_in} in${between}: ${minutes} min/100 ft × ${figure(Number(length_ft.toFixed(1)))} ft = ${figure(tenths / 10)} min`,
  };
}

function limits(standard: Standard, pipe: Pipe): Limits {
  const { name, provenance, earlyAcceptance } = standard;
  const dn_mm = askedDn_mm(name.id, pipe);
  const length_m = askedLength_m(name.id, pipe);
  const parts = lengthsOf(dn_mm, length_m, pipe).map((length) => timeOf(standard, length));
  const tenths = parts.reduce((sum, part) => sum + part.tenths, 0);
  const { working: raised, ...pressures } = raisedPressures(name.id, pipe);
  return finish(
    {
      method: name,
      stop: "fixed-drop",
      ...pressures,
      settle_s: 120,
      hold_s: tenths * 6,
      permittedDrop_Pa: psi_Pa(1),
      boundary: "less-or-equal",
      sizes: "own-rule",
      unit: "psi",
      provenance,
      ...(earlyAcceptance === undefined ? {} : { earlyAcceptance }),
      working: [
        ...raised,
        sizeWorking(dn_mm, length_m),
        ...parts.map(({ working }) => working),
        ...(parts.length > 1 ? [`Several sizes: their times add, ${figure(tenths / 10)} min (example in C828, read)`] : []),
        `Least time for a fall of ${inUnit(psi_Pa(1), "psi")}: ${figure(tenths / 10)} min`,
        "Settle: 2 to 5 min usually (6.3, read)",
      ],
      cautions: [...AMERICAN_CAUTIONS, ...standard.cautions(pipe)],
    },
    pipe,
  );
}

const method = (standard: Standard): Method => ({ ...standard.name, summary: standard.summary, limits: (pipe) => limits(standard, pipe) });

export const C828_C924: readonly Method[] = [method(C828), method(C924)];
