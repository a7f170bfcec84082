import { usageError } from "../errors.ts";
import { boreArea_m2 } from "../physics/thrust.ts";
import type { OtherSize, Pipe, Told } from "./method.ts";
import { isOutsideSize } from "./sizes.ts";
import type { Stated } from "./stated.ts";
import { figure, inMinutes, inUnit, mm_Pa } from "./words.ts";

/** Weight of fresh water, Pa per metre. */
const WATER_Pa_m = 9806.65;
/** Highest pressure a section with traps left in is tested at (trade practice, from memory). */
const TRAPS_mm = 50;

const also = (pipe: Pipe): readonly OtherSize[] => pipe.also ?? [];
const boreOf = (pipe: Pipe): number | null => pipe.bore_mm ?? pipe.dn_mm;

/** Thrust goes by the largest bore in the section: behind any plug may stand the widest pipe. */
export function plugBore_mm(pipe: Pipe): number | null {
  const bores = [
    ...(pipe.dn_mm === null ? [] : [pipe.dn_mm]),
    ...(pipe.bore_mm === undefined ? [] : [pipe.bore_mm]),
    ...also(pipe).map((o) => o.dn_mm),
  ];
  return bores.length === 0 ? null : Math.max(...bores);
}

export function volume_m3(pipe: Pipe): number | null {
  const bore_mm = boreOf(pipe);
  if (bore_mm === null || pipe.laid_length_m === null) return null;
  return also(pipe).reduce((sum, o) => sum + boreArea_m2(o.dn_mm) * o.length_m, boreArea_m2(bore_mm) * pipe.laid_length_m);
}

/** What was told besides size, material and length; `undefined` when nothing was. */
export function toldOf({ dn_mm: _, material: __, laid_length_m: ___, water: ____, ...rest }: Pipe): Told | undefined {
  return Object.keys(rest).length === 0 ? undefined : rest;
}

/** Refuses what the method has no rule for. StaunchErrors: `traps-left-in`, `chamber-not-covered`, `several-sizes`, `permitted-drop-own`. */
export function refuseUncovered(stated: Stated, pipe: Pipe): void {
  const { id } = stated.method;
  if (pipe.traps === true && Math.abs(stated.charge_Pa) > mm_Pa(TRAPS_mm) * 1.001)
    throw usageError(
      "traps-left-in",
      `${id} charges to ${inUnit(stated.charge_Pa, "mmH2O")}, which blows the water out of traps and gullies left in.`,
      "Seal them off or take them out; with traps in, use uk-50mm-traps (or adh-sanitary-38mm above ground).",
    );
  if (pipe.chamberAir !== undefined && stated.chamber === undefined)
    throw usageError(
      "chamber-not-covered",
      `${id} has no rule for a chamber tested with air.`,
      "Chambers: en1610-la or en1610-lb where national rules allow it, astm-c1244 with vacuum, en1610-w with water.",
    );
  if (also(pipe).length > 0 && (stated.sizes ?? "no-rule") === "no-rule")
    throw usageError(
      "several-sizes",
      `${id} takes its time from one size and has no rule for several in one test.`,
      "Test each size by itself, agree figures with the designer and give them as a method file, or use a method with a rule: astm-c828, astm-c924 (times add), ncpi (sums).",
    );
  if (pipe.permittedDrop_Pa !== undefined && stated.permittedDropOpen !== true)
    throw usageError(
      "permitted-drop-own",
      `${id} states its permitted drop itself.`,
      "Leave --permitted-drop out, or give a method file with the specification's figures.",
    );
  if (pipe.test_Pa !== undefined && stated.testOpen !== true)
    throw usageError(
      "test-pressure-own",
      `${id} states its test pressure itself.`,
      "Leave --test-pressure out, or give a method file with the specification's figures.",
    );
}

/** A longer hold than the method's is stricter and may be told; a shorter one is refused (`hold-too-short`). */
export function holdTold(stated: Stated, pipe: Pipe): { hold_s: number; working: string[] } {
  const { hold_s: told_s } = pipe;
  if (told_s === undefined || told_s === stated.hold_s) return { hold_s: stated.hold_s, working: [] };
  if (told_s < stated.hold_s)
    throw usageError(
      "hold-too-short",
      `A hold of ${inMinutes(told_s)} is shorter than the ${inMinutes(stated.hold_s)} of ${stated.method.id}.`,
      "Leave --hold out, or give a longer time.",
    );
  return { hold_s: told_s, working: [`Hold: ${inMinutes(told_s)} as told, longer than the method's ${inMinutes(stated.hold_s)}`] };
}

/** Groundwater where the method does not raise its thresholds. StaunchError `groundwater-too-high` when the air cannot push against it. */
export function groundwater(stated: Stated, pipe: Pipe): { pressure_Pa: number; cautions: string[] } | null {
  const height_m = pipe.groundwater_m ?? 0;
  if (height_m === 0) return null;
  if (stated.raisedBy_Pa !== undefined) return { pressure_Pa: 0, cautions: [] };
  if (stated.test_Pa < 0)
    return { pressure_Pa: 0, cautions: [`Groundwater stands ${figure(height_m)} m above: vacuum draws it in; look for water afterwards.`] };
  const pressure_Pa = WATER_Pa_m * height_m;
  if (pressure_Pa >= stated.test_Pa)
    throw usageError(
      "groundwater-too-high",
      `${figure(height_m)} m of groundwater press with ${inUnit(pressure_Pa, stated.unit)}, not less than the test pressure of ${inUnit(stated.test_Pa, stated.unit)}: air shows no leak against it.`,
      "Lower the groundwater, choose a higher test pressure or an infiltration test by the design, or a method that raises its thresholds (astm-f1417-1psi, ncpi).",
    );
  return {
    pressure_Pa,
    cautions: [
      `Groundwater stands ${figure(height_m)} m above the crown and presses with ${inUnit(pressure_Pa, stated.unit)}: leaks are hidden by it, and from half the test pressure on no pass is given. ${stated.groundwaterRule ?? "The method raises no threshold: the design must say what holds."}`,
    ],
  };
}

/** How the bore is known, where that matters. */
export function boreWorking(pipe: Pipe): string[] {
  if (pipe.bore_mm !== undefined) return [`Bore ${figure(pipe.bore_mm)} mm for volume; the time goes by the size named`];
  if (pipe.dn_mm !== null && isOutsideSize(pipe.dn_mm, pipe.material))
    return [
      `DN ${figure(pipe.dn_mm)} is an outside diameter in plastic pipe (DN/OD): its volume is reckoned too large until --bore is told`,
    ];
  return [];
}
