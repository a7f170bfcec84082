import { toldVolume_m3 } from "../physics/leak.ts";
import { ventedVolume_m3, ventFall } from "../physics/vent.ts";
import type { Evidence } from "./evidence.ts";
import { indexFrom } from "./lineAt.ts";
import { type Remark, remark } from "./weatherRemarks.ts";

/** Hand-opened valves, hoses and warm air make such a volume good to a third at best; working guess, no source. */
const APART = 1.5;

/** Half a pipe behind a forgotten plug, water in the bore, or a wrong sheet of the plan: only where the vent has been measured on a known section. */
export function volumeRemarks({ input, sign, drop }: Evidence): Remark[] {
  const area_m2 = input.gauge.ventArea_m2 ?? null;
  const told_m3 = toldVolume_m3(input.limits);
  const vent = input.phases.findLast((p) => p.phase === "vent");
  if (area_m2 === null || told_m3 === null || vent === undefined || drop.end === null) return [];
  const { time_s, pressure_Pa } = input.curve;
  const from = indexFrom(time_s, vent.from_s);
  const size_Pa = pressure_Pa.subarray(from).map((p) => sign * p);
  const fall = ventFall(time_s.subarray(from), size_Pa, drop.end.size_Pa);
  if (fall === null) return [];
  const vented_m3 = ventedVolume_m3(area_m2, fall);
  const spread = (2 * fall.u_rate) / fall.rate;
  if (Math.abs(Math.log(vented_m3 / told_m3)) <= Math.log(APART) + spread) return [];
  const text = `By the pace at which it emptied the section holds about ${Number(vented_m3.toPrecision(2))} m³, by size and length ${Number(told_m3.toPrecision(2))} m³: check the plan, and whether the section is blocked or under water.`;
  return [remark("volume-implausible", text, { vented_m3, told_m3, vent_area_m2: area_m2 })];
}
