import { AMERICAN_CAUTIONS, lengthsOf, raisedPressures, sizeWorking } from "./american.ts";
import { askedDn_mm, askedLength_m } from "./asked.ts";
import { figure, finish, inUnit } from "./finish.ts";
import type { Limits } from "./limits.ts";
import type { Method, Pipe } from "./method.ts";
import { psi_Pa } from "./words.ts";

const NAME = {
  id: "ncpi",
  title: "NCPI, clay pipe, 3.5 to 2.5 psi, by size and length",
  source: "National Clay Pipe Institute procedure, as enacted by Cortland, Ohio",
};

/** K = 0.011 D² L and C = 0.0003882 D L (in, ft); T = ΣK / max(1, ΣC) seconds. From memory; reproduces the table read but for one misprint. */
const kOf = (d_in: number, length_ft: number): number => 0.011 * d_in ** 2 * length_ft;
const cOf = (d_in: number, length_ft: number): number => 0.0003882 * d_in * length_ft;

function limits(pipe: Pipe): Limits {
  const dn_mm = askedDn_mm(NAME.id, pipe);
  const length_m = askedLength_m(NAME.id, pipe);
  const lengths = lengthsOf(dn_mm, length_m, pipe);
  const k = lengths.reduce((sum, { d_in, length_ft }) => sum + kOf(d_in, length_ft), 0);
  const c = lengths.reduce((sum, { d_in, length_ft }) => sum + cOf(d_in, length_ft), 0);
  const exact_s = k / Math.max(1, c);
  const hold_s = Math.max(1, Math.round(exact_s));
  const { working: raised, ...pressures } = raisedPressures(NAME.id, pipe);
  return finish(
    {
      method: NAME,
      stop: "fixed-drop",
      ...pressures,
      settle_s: 120,
      hold_s,
      permittedDrop_Pa: psi_Pa(1),
      boundary: "less-or-equal",
      sizes: "own-rule",
      unit: "psi",
      provenance:
        "Formula: from memory; it reproduces the rows of a town's table that were read (25 to 75 ft), but for one misprint there. Groundwater added to all pressures: read. 4.0 psi, 2 min: read in town codes; 9 psi as for ASTM F1417.",
      working: [
        ...raised,
        sizeWorking(dn_mm, length_m),
        ...lengths.map(
          ({ d_in, length_ft }) =>
            `${figure(Number(d_in.toFixed(2)))} in, ${figure(Number(length_ft.toFixed(1)))} ft: K = 0.011 × D² × L = ${kOf(d_in, length_ft).toFixed(1)}, C = 0.0003882 × D × L = ${cOf(d_in, length_ft).toFixed(3)}`,
        ),
        `T = ${lengths.length > 1 ? "ΣK/max(1, ΣC)" : "K/max(1, C)"} = ${exact_s.toFixed(1)} s, to the nearest second ${hold_s} s for a fall of ${inUnit(psi_Pa(1), "psi")}`,
        "Settle: 2 min at least (town codes, read)",
      ],
      cautions: [...AMERICAN_CAUTIONS, "The groundwater's pressure is best measured with a probe at the pipe (read)."],
    },
    pipe,
  );
}

export const NCPI: readonly Method[] = [{ ...NAME, summary: "from 3.5 psi: a time by size and length to lose 1 psi; sums sizes", limits }];
