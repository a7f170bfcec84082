import { AMERICAN_CAUTIONS, feet, raisedPressures, sizeWorking } from "./american.ts";
import { askedDn_mm, askedLength_m } from "./asked.ts";
import { LENGTHS_ft, MISPRINTS, TABLE_2 } from "./astmF1417Table.ts";
import { figure, finish, inUnit } from "./finish.ts";
import type { Limits } from "./limits.ts";
import type { Method, Pipe } from "./method.ts";
import { isPlastic, nominalInches } from "./sizes.ts";
import { psi_Pa } from "./words.ts";

/** Air lost for each square foot of bore, ft³/min: title of Table 2, read. */
const Q = 0.0015;
/** T = 0.085 D K/Q seconds for 1 psi, K = 0.000419 D L, at least 1: from memory, reproduces the read Table 2 when halved. */
const formula_s = (d_in: number, length_ft: number): number => (0.085 * d_in * Math.max(1, 0.000419 * d_in * length_ft)) / Q;

/** Time for a fall of 0.5 psi: the printed cell, else the printed row's own rule, else the formula. */
function half_s(d_in: number, length_ft: number): { time_s: number; working: string[] } {
  const row = TABLE_2.find((one) => one.d_in === d_in);
  const formula = formula_s(d_in, length_ft) / 2;
  if (row === undefined)
    return {
      time_s: Math.ceil(formula),
      working: [`${figure(d_in)} in is not in Table 2: the formula stands, ${formula.toFixed(1)} s for 0.5 psi, up to the next second`],
    };
  const rule_s = Math.max(row.least_s, row.perFoot_s * length_ft);
  const rule = `Table 2, ${d_in} in: ${row.least_s} s at least (up to ${row.upTo_ft} ft), ${row.perFoot_s} s/ft × ${figure(Number(length_ft.toFixed(1)))} ft = ${(row.perFoot_s * length_ft).toFixed(1)} s`;
  const at_ft = LENGTHS_ft.find((one) => Math.abs(one - length_ft) < 0.01);
  const printed_s = at_ft === undefined ? undefined : row.times_s[LENGTHS_ft.indexOf(at_ft)];
  const misprint = MISPRINTS.some((one) => one.d_in === d_in && one.length_ft === at_ft);
  if (printed_s !== undefined && !misprint) return { time_s: printed_s, working: [rule, `Table 2 prints ${printed_s} s for ${at_ft} ft`] };
  return {
    time_s: Math.round(rule_s),
    working: [
      rule,
      ...(misprint
        ? [`Table 2 prints ${printed_s} s for ${at_ft} ft, which breaks its own rule: taken as a misprint, the rule stands`]
        : []),
    ],
  };
}

function limits(drop_psi: 1 | 0.5, method: Limits["method"], pipe: Pipe): Limits {
  const dn_mm = askedDn_mm(method.id, pipe);
  const length_m = askedLength_m(method.id, pipe);
  const d_in = nominalInches(dn_mm);
  const { time_s, working } = half_s(d_in, feet(length_m));
  const hold_s = drop_psi === 1 ? 2 * time_s : time_s;
  const { working: raised, ...pressures } = raisedPressures(method.id, pipe);
  return finish(
    {
      method,
      stop: "fixed-drop",
      ...pressures,
      settle_s: 120,
      hold_s,
      permittedDrop_Pa: psi_Pa(drop_psi),
      boundary: "less-or-equal",
      unit: "psi",
      provenance: `Table 2 (0.5 psi): read in a stored copy of the standard.${drop_psi === 1 ? " Table 1 (1 psi): from memory, twice Table 2." : ""} Pressures, 2 min of settling, 9 psi: read in town codes and fragments. 0.433 psi/ft: from memory.`,
      working: [
        ...raised,
        sizeWorking(dn_mm, length_m),
        ...working,
        `Least time for a fall of ${inUnit(psi_Pa(drop_psi), "psi")}: ${drop_psi === 1 ? `2 × ${time_s} = ` : ""}${hold_s} s`,
        `By the formula: 0.085 × D × K/Q = ${(formula_s(d_in, feet(length_m)) * drop_psi).toFixed(1)} s, K = 0.000419 × D × L, at least 1`,
        "Settle: 2 min at least (read)",
      ],
      cautions: [
        ...AMERICAN_CAUTIONS,
        "The times are those of a standard atmosphere: at high sites they need correcting (note 4, read).",
        ...(d_in > 30 ? ["Above 30 in ask the pipe's maker for the highest test pressure (note 1, read)."] : []),
        ...(pipe.material !== null && !isPlastic(pipe.material)
          ? ["ASTM F1417 speaks of plastic pipe; others take it where the specification says so."]
          : []),
      ],
    },
    pipe,
  );
}

function method(drop_psi: 1 | 0.5): Method {
  const half = drop_psi === 0.5;
  const name = {
    id: half ? "astm-f1417-half-psi" : "astm-f1417-1psi",
    title: `ASTM F1417, time for a fall of ${drop_psi} psi`,
    source: half ? "ASTM F1417, Table 2" : "ASTM F1417, Table 1 (UNI-B-6)",
  };
  return {
    ...name,
    summary: `from 3.5 psi: a time by size and length to lose ${drop_psi} psi`,
    limits: (pipe) => limits(drop_psi, name, pipe),
  };
}

export const F1417: readonly Method[] = [method(1), method(0.5)];
