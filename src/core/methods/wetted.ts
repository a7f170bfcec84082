import { boreArea_m2 } from "../physics/thrust.ts";
import { figure } from "./finish.ts";
import type { WaterPart, WaterPlan } from "./waterPlan.ts";

/** Wetted inner surface with its lines of working. */
export interface Wetted {
  part: WaterPart;
  area_m2: number;
  working: string[];
}

/** Inner wall of a pipe, m². */
const wallArea_m2 = (bore_mm: number, length_m: number): number => Math.PI * (bore_mm / 1000) * length_m;

/** Pipes count by their wall; a chamber by its wall up to the water and its floor. `pipe` is null where chambers alone are tested. */
export function wettedOf(pipe: { bore_mm: number; length_m: number } | null, plan: WaterPlan): Wetted {
  const working: string[] = [];
  let area_m2 = 0;
  const count = (area: number, line: string): void => {
    area_m2 += area;
    working.push(`${line} = ${figure(round(area))} m²`);
  };
  if (pipe !== null) count(wallArea_m2(pipe.bore_mm, pipe.length_m), `Pipe: π × ${metres(pipe.bore_mm)} m × ${figure(pipe.length_m)} m`);
  for (const { bore_mm, length_m } of plan.branches)
    count(wallArea_m2(bore_mm, length_m), `Branch: π × ${metres(bore_mm)} m × ${figure(length_m)} m`);
  for (const { bore_mm, height_m } of plan.chambers)
    count(
      wallArea_m2(bore_mm, height_m) + boreArea_m2(bore_mm),
      `Chamber, wall and floor: π × ${metres(bore_mm)} m × ${figure(height_m)} m + π/4 × (${metres(bore_mm)} m)²`,
    );
  working.push(`Wetted inner surface: ${figure(round(area_m2))} m²`);
  return { part: partOf(pipe !== null, plan.chambers.length > 0), area_m2, working };
}

const partOf = (pipe: boolean, chambers: boolean): WaterPart => {
  if (!pipe) return "chambers";
  return chambers ? "pipelines with chambers" : "pipelines";
};

const metres = (bore_mm: number): string => figure(bore_mm / 1000);
const round = (area_m2: number): number => Number(area_m2.toPrecision(4));
