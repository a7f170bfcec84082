import { usageError } from "../errors.ts";
import { thrust_N, toKgf } from "../physics/thrust.ts";
import { toUnit } from "../units.ts";
import { figure, inMinutes, inUnit } from "./finish.ts";
import type { Limits } from "./limits.ts";
import type { Method, Pipe } from "./method.ts";
import { plugBore_mm } from "./told.ts";
import { NO_WATER_PLAN, type WaterLimits, type WaterPart, type WaterPlan } from "./waterPlan.ts";
import { wettedOf } from "./wetted.ts";

/** Weight of water, Pa per metre of head: 1000 kg/m³ under 9.80665 m/s², as in the unit "mm water gauge". */
const WATER_Pa_m = 9806.65;

/** Litres a square metre of wetted inner surface may take in 30 min; the same three figures in both documents. */
const LOSS_L_m2: Readonly<Record<WaterPart, number>> = { pipelines: 0.15, "pipelines with chambers": 0.2, chambers: 0.4 };

const SETTLE_s = 3600;
const HOLD_s = 1800;
const HOLD_TOLERANCE_s = 60;

/** What one document says; heads at the top of the pipe at its upper end. */
interface Document {
  id: string;
  title: string;
  source: string;
  summary: string;
  unit: WaterLimits["unit"];
  band_Pa: number;
  provenance: string;
  window(bore_mm: number, fall_Pa: number): { low_Pa: number; high_Pa: number; working: string };
}

const EN: Document = {
  id: "en1610-w",
  title: "EN 1610, water (W), 30 min",
  source: "EN 1610:2015, 13.3",
  summary: "10 to 50 kPa of water, at most 0.15 L (0.20, 0.40 with chambers) per m² added in 30 min",
  unit: "kPa",
  band_Pa: 1000,
  provenance:
    "Head window, 1 h of conditioning, 30 min and the three figures per m²: read in a clay-pipe maker's guide to EN 1610. 1 kPa (100 mm) about the test head, ± 1 min and the 0.1 L: from memory of 13.3.",
  window: (_, fall_Pa) => ({
    low_Pa: 10_000,
    high_Pa: 50_000 - fall_Pa,
    working: `Head at the top of the pipe: 10 kPa at least, 50 kPa at most${fall_Pa > 0 ? `; the other end stands ${figure(round(fall_Pa / 1000))} kPa higher, so ${figure(round(50 - fall_Pa / 1000))} kPa at most at the upper end` : ""}`,
  }),
};

const ADH: Document = {
  id: "adh-water",
  title: "Approved Document H, water, 30 min",
  source: "Approved Document H (England) 2015, 2.61",
  summary: "1 m to 5 m of water over the inverts, at most 0.15 L (0.20, 0.40 with chambers) per m² added in 30 min",
  unit: "mmH2O",
  band_Pa: WATER_Pa_m / 10,
  provenance: "All figures and the paragraph number from memory; the three figures per m² are those of EN 1610, which were read.",
  window: (bore_mm, fall_Pa) => {
    const bore_Pa = (WATER_Pa_m * bore_mm) / 1000;
    return {
      low_Pa: WATER_Pa_m - bore_Pa,
      high_Pa: 5 * WATER_Pa_m - bore_Pa - fall_Pa,
      working: `Head over the invert: 1 m at least at the highest, 5 m at most at the lowest; less the bore of ${figure(bore_mm)} mm${fall_Pa > 0 ? ` and the fall of ${figure(round(fall_Pa / WATER_Pa_m))} m` : ""} at the top of the pipe at the upper end`,
    };
  },
};

const round = (value: number): number => Number(value.toPrecision(5));

function limits(document: Document, name: Limits["method"], pipe: Pipe): Limits {
  const plan = pipe.water ?? NO_WATER_PLAN;
  const wetted = wettedOf(pipeOf(document, pipe, plan), plan);
  const fall_Pa = WATER_Pa_m * plan.fall_m;
  const { low_Pa, high_Pa, working } = document.window(pipe.bore_mm ?? pipe.dn_mm ?? 0, fall_Pa);
  const test_Pa = headOf(document, plan, low_Pa, high_Pa);
  const litresPerM2 = LOSS_L_m2[wetted.part];
  const permitted_L = litresPerM2 * wetted.area_m2;
  const standpipe_m2 = plan.standpipe_mm === null ? null : (Math.PI / 4) * (plan.standpipe_mm / 1000) ** 2;
  return {
    method: name,
    medium: "water",
    stop: "fixed-time",
    direction: "pressure",
    charge_Pa: test_Pa,
    settle_s: SETTLE_s,
    test_Pa,
    hold_s: HOLD_s,
    // Water is judged by litres; this is how far the level may sink before it is topped up.
    permittedDrop_Pa: document.band_Pa,
    floor_Pa: null,
    boundary: "less-or-equal",
    startTolerance_Pa: document.band_Pa,
    top_Pa: high_Pa,
    dn_mm: pipe.dn_mm,
    material: pipe.material,
    laid_length_m: pipe.laid_length_m,
    provenance: document.provenance,
    working: [
      ...wetted.working,
      `Permitted: ${figure(litresPerM2)} L/m² (${wetted.part}) × ${figure(round(wetted.area_m2))} m² = ${permitted_L.toFixed(2)} L added in 30 min`,
      working,
      `Test head ${inUnit(test_Pa, document.unit)}${plan.head_Pa === null ? ": the middle of the window, because none was told; any head within it will do" : ""}`,
      `Conditioning: filled for ${inMinutes(SETTLE_s)}, generally enough; dry concrete may want longer`,
      `Hold: ${inMinutes(HOLD_s)} ± 1 min, the level kept within ${inUnit(document.band_Pa, document.unit)} (100 mm) of the test head by topping up`,
      "Water added is measured to 0.1 L",
      ...(standpipe_m2 === null
        ? []
        : [`Standpipe of ${figure(plan.standpipe_mm ?? 0)} mm: ${(standpipe_m2 * 100).toFixed(2)} L for 100 mm of level`]),
    ],
    cautions: cautions(test_Pa, high_Pa, fall_Pa, plugBore_mm(pipe)),
    water: {
      plan,
      unit: document.unit,
      band_Pa: document.band_Pa,
      low_Pa,
      high_Pa,
      told: plan.head_Pa !== null,
      holdTolerance_s: HOLD_TOLERANCE_s,
      part: wetted.part,
      litresPerM2,
      area_m2: wetted.area_m2,
      permitted_L,
      surface_m2: standpipe_m2 ?? surfaceOf(plan),
      standpipe_mm: plan.standpipe_mm,
    },
  };
}

/** Without a standpipe the level is taken to stand in the widest chamber; in a closed pipe nobody knows on what. */
function surfaceOf({ chambers }: WaterPlan): number | null {
  const widest_mm = Math.max(0, ...chambers.map(({ bore_mm }) => bore_mm));
  return widest_mm === 0 ? null : (Math.PI / 4) * (widest_mm / 1000) ** 2;
}

/** The pipe itself; `null` where chambers alone are tested. */
function pipeOf(
  { title }: Document,
  { dn_mm, bore_mm, laid_length_m }: Pipe,
  plan: WaterPlan,
): { bore_mm: number; length_m: number } | null {
  if (laid_length_m === null && plan.branches.length === 0 && plan.chambers.length > 0) return null;
  if (dn_mm === null)
    throw usageError("dn-missing", `${title}: the wetted surface depends on the size, and none was given.`, "Add the size: --dn 300.");
  if (laid_length_m === null)
    throw usageError(
      "length-missing",
      `${title}: the wetted surface depends on the laid length, and none was given.`,
      'Add --laid-length 45; for chambers alone --chamber "1000 x 1.8" without a length.',
    );
  return { bore_mm: bore_mm ?? dn_mm, length_m: laid_length_m };
}

function headOf({ title, unit }: Document, { head_Pa, fall_m }: WaterPlan, low_Pa: number, high_Pa: number): number {
  const window = `${inUnit(round(low_Pa), unit)} to ${inUnit(round(high_Pa), unit)}`;
  if (high_Pa - low_Pa < 1000)
    throw usageError(
      "fall-too-great",
      `${title}: with a fall of ${figure(fall_m)} m no head suits both ends.`,
      "Test it in shorter lengths.",
    );
  if (head_Pa === null) return Number(toUnit((low_Pa + high_Pa) / 2, unit).toPrecision(3)) * (unit === "kPa" ? 1000 : WATER_Pa_m / 1000);
  if (head_Pa >= low_Pa && head_Pa <= high_Pa) return head_Pa;
  throw usageError(
    "head-outside-window",
    `A test head of ${inUnit(round(head_Pa), unit)} lies outside ${window}, measured at the top of the pipe at its upper end.`,
    `Choose a head within it, such as --head "${inUnit(round((low_Pa + high_Pa) / 2), unit)}".`,
  );
}

function cautions(test_Pa: number, high_Pa: number, fall_Pa: number, dn_mm: number | null): string[] {
  const force = (head_Pa: number, size_mm: number): string =>
    `${thrust_N(head_Pa, size_mm).toFixed(0)} N (${toKgf(thrust_N(head_Pa, size_mm)).toFixed(0)} kgf)`;
  const push =
    dn_mm === null
      ? "The push on each plug is head times bore area: give the DN to see it in newton."
      : `Each plug of DN ${figure(dn_mm)} is pushed out with ${force(test_Pa, dn_mm)} at the test head and ${force(high_Pa, dn_mm)} at the highest head allowed; a larger bore behind it means more.`;
  // Pressure at the middle of the lowest plug: half a bore below the top of the pipe, and the fall.
  const lowest =
    dn_mm === null
      ? []
      : [
          `The lowest plug bears the most: ${force(high_Pa + fall_Pa + (WATER_Pa_m * dn_mm) / 2000, dn_mm)} with the water at its highest; a long head of water bursts plugs.`,
        ];
  return [
    push,
    ...lowest,
    "A plug under water can kill: plugs rated for the head and braced, nobody in line with a plug, below the head of water or in a chamber.",
    "Fill slowly from the low end and let the air out at the high end: trapped air is driven like a shot when a plug lets go, and spoils the reading.",
    "Trench, lifting and confined-space rules are confirmed by a competent person on site, not by this program; local rules come first.",
    "Afterwards let the water out slowly, to where local rules allow it, before any plug is loosened: a gauge that reads zero is never permission.",
  ];
}

function method(document: Document): Method {
  const { id, title, source, summary } = document;
  const name = { id, title, source };
  return { ...name, summary, limits: (pipe) => limits(document, name, pipe) };
}

export const WATER: readonly Method[] = [method(EN), method(ADH)];
