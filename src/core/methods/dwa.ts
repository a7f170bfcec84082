import { askedDn_mm, askedHold_s } from "./asked.ts";
import { figure, finish, inMinutes, inUnit } from "./finish.ts";
import type { Limits } from "./limits.ts";
import type { Method, Pipe } from "./method.ts";
import { nominalDn } from "./sizes.ts";

/** DWA-A 139 (new pipes): pressures of EN 1610, times of its equations (4) and (5), up to the next full minute. Read in an authority guideline. */
const NEW = {
  lc: { test_Pa: 10_000, drop_Pa: 1500, min_per_mm: 0.01354, equation: 4 },
  ld: { test_Pa: 20_000, drop_Pa: 1500, min_per_mm: 0.0065, equation: 5 },
} as const;

const settle_s = (dn_mm: number): number => (dn_mm > 500 ? (dn_mm / 100) * 60 : 300);

function newLimits(row: "lc" | "ld", method: Limits["method"], pipe: Pipe): Limits {
  const { test_Pa, drop_Pa, min_per_mm, equation } = NEW[row];
  const dn_mm = nominalDn(askedDn_mm(method.id, pipe));
  const exact_min = min_per_mm * dn_mm;
  const hold_min = Math.ceil(Number(exact_min.toFixed(6)));
  return finish(
    {
      method,
      charge_Pa: (11 * test_Pa) / 10,
      settle_s: settle_s(dn_mm),
      test_Pa,
      hold_s: hold_min * 60,
      permittedDrop_Pa: drop_Pa,
      // As EN 1610, which it applies (from memory).
      boundary: "less",
      unit: "mbar",
      provenance:
        "Equation, rounding up: read in a German authority guideline (BFR Abwasser A-2.5.2). Pressures and drop: EN 1610, Table 3, read. Charge and settling: from memory and a clay-pipe guide.",
      working: [
        `Test pressure ${inUnit(test_Pa, "mbar")}, permitted drop ${inUnit(drop_Pa, "mbar")}`,
        `t = ${min_per_mm} × DN = ${min_per_mm} × ${figure(dn_mm)} = ${exact_min.toFixed(2)} min (equation ${equation}), up to the next full minute: ${hold_min} min`,
        "The material makes no difference here",
        `Charge: about 10 % above the test pressure; settle ${inMinutes(settle_s(dn_mm))} at least`,
      ],
      cautions: ["A failed air test may be followed by the water test, whose result alone then decides."],
    },
    pipe,
  );
}

function newPipe(row: "lc" | "ld"): Method {
  const { test_Pa, min_per_mm } = NEW[row];
  const name = { id: `dwa139-${row}`, title: `DWA-A 139, air, ${row.toUpperCase()}`, source: `DWA-A 139, equation (${NEW[row].equation})` };
  return {
    ...name,
    summary: `${figure(test_Pa / 100)} mbar, at most 15 mbar lost in ${min_per_mm} min per mm DN`,
    limits: (pipe) => newLimits(row, name, pipe),
  };
}

const NO_TIME = "the time formulas of DWA-M 149-6 could not be read in the guideline that quotes it, only that it is 5 s at least";

/** DWA-M 149-6 (existing pipes). Read in BFR Abwasser. */
const EXISTING = {
  over: { test_Pa: 10_000, drop_Pa: 1500, settle_s: 0, least_s: 5, what: "over-pressure" },
  under: { test_Pa: -10_000, drop_Pa: 1200, settle_s: 0, least_s: 5, what: "under-pressure" },
  joint: { test_Pa: 10_000, drop_Pa: 1500, settle_s: 30, least_s: 0, what: "single joint" },
} as const;

function existing(kind: keyof typeof EXISTING): Method {
  const { test_Pa, drop_Pa, settle_s: settling_s, least_s, what } = EXISTING[kind];
  const name = {
    id: `dwa149-${kind}`,
    title: `DWA-M 149-6, existing sewers, air, ${what}`,
    source: `DWA-M 149-6, as quoted in BFR Abwasser ${kind === "joint" ? "A-2.5.5" : "A-2.5.4"}`,
  };
  const why = kind === "joint" ? "no time for a joint stood in the guideline that quotes DWA-M 149-6" : NO_TIME;
  const limits = (pipe: Pipe): Limits => {
    const hold_s = askedHold_s(name.id, pipe, why, least_s);
    return finish(
      {
        method: name,
        charge_Pa: test_Pa,
        settle_s: settling_s,
        test_Pa,
        hold_s,
        permittedDrop_Pa: drop_Pa,
        boundary: "less-or-equal",
        sizes: "no-matter",
        unit: "mbar",
        provenance: `Pressure, drop${kind === "joint" ? " and settling" : ""}: read in a German authority guideline. Hold: as told, because ${why}.`,
        working: [
          `Test pressure ${inUnit(test_Pa, "mbar")}, permitted drop ${inUnit(drop_Pa, "mbar")}`,
          `Hold: ${inMinutes(hold_s)} as told${pipe.also === undefined ? "" : "; it must count for every size in the section"}`,
          settling_s > 0
            ? `Settle: ${inMinutes(settling_s)} at least (read)`
            : "Settle: until the pressure line is constant (read), no fixed time",
        ],
        cautions: [
          "An existing sewer is warmer than the soil about it: the pressure falls with no leak (guideline, read).",
          ...(pipe.dn_mm !== null && pipe.dn_mm > 1200 ? ["Above DN 1200 air tests are often not advisable (guideline, read)."] : []),
        ],
      },
      kind === "joint" ? { ...pipe, laid_length_m: 1 } : pipe,
    );
  };
  return { ...name, summary: `${figure(test_Pa / 100)} mbar, at most ${figure(drop_Pa / 100)} mbar lost; the time must be told`, limits };
}

export const DWA: readonly Method[] = [newPipe("lc"), newPipe("ld"), existing("over"), existing("under"), existing("joint")];
