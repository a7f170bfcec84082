import { limitsFor } from "../../src/core/methods/index.ts";
import type { Limits } from "../../src/core/methods/limits.ts";
import type { Rule } from "../../src/core/record.ts";

/** One simulated test: everything follows from its number. */
export interface TruthCase {
  name: string;
  leak: number;
  crew: "obedient" | "hasty" | "absent";
  /** Something goes wrong in it, so that void is the right answer more often than not. */
  fault: string;
  /** Temperature or barometer move, and no sensor tells. */
  unseenDrift: boolean;
  rule: Rule;
  sim: string;
  limits: Limits;
}

export const LEAKS = [0, 0.5, 0.8, 0.9, 0.97, 1.03, 1.1, 1.25, 2, 10] as const;
const METHODS = [
  ["en1610-la", [100, 150, 225, 300, 600]],
  ["en1610-lb", [100, 225, 400]],
  ["en1610-lc", [150, 225, 300, 600]],
  ["en1610-ld", [100, 150, 300]],
  ["uk-100mm", [100, 150]],
  ["adh-110mm", [110, 160, 300]],
] as const;
const WEATHER = [
  "",
  "",
  "",
  "",
  "&wind=5",
  "&cooling=0.5",
  "&cooling=-0.5",
  "&barometer=0.7",
  "&barometer=-0.7",
  "&cooling=0.5&sensors=air,ambient",
];
const GAUGES = ["", "", "&resolution=5", "&resolution=10&noise=2", "&rate=1", "&rate=10&noise=1", "&protocol=scpi", "&flow=orifice"];
const FAULTS = [
  "",
  "",
  "",
  "",
  "",
  "",
  "",
  "&topup=560:60",
  "&slip=560:120",
  "&silence=540:60",
  "&spikes=500:8",
  "&wallclock=520:3600",
  "&hose=blocked",
];
const CREWS = ["obedient", "obedient", "obedient", "obedient", "obedient", "obedient", "hasty", "absent"] as const;

/** The same choice every time: the fraction of a sine stands in for chance. */
function pick<T>(list: readonly T[], n: number, salt: number): T {
  const chance = Math.abs(Math.sin(n * 12.9898 + salt * 78.233) * 43758.5453) % 1;
  const value = list[Math.floor(chance * list.length)];
  if (value === undefined) throw new Error("nothing to pick from");
  return value;
}

export function truthCase(n: number): TruthCase {
  const leak = LEAKS[n % LEAKS.length] ?? 0;
  const [id, sizes] = pick<readonly [string, readonly number[]]>(METHODS, n, 1);
  const dn_mm = pick(sizes, n, 2);
  const weather = pick(WEATHER, n, 3);
  const gauge = pick(GAUGES, n, 4);
  const fault = pick(FAULTS, n, 6);
  const crew = pick(CREWS, n, 7);
  // Sensors ride on the line protocol only.
  const fits = weather.includes("sensors") ? gauge.replace("&protocol=scpi", "") : gauge;
  const sim = `leak=${leak}&seed=${n}${weather}${fits}${fault}${crew === "obedient" ? "" : `&crew=${crew}`}`;
  const rule = n % 3 === 0 ? "guarded" : "simple";
  return {
    name: `${id} DN${dn_mm} ${rule} ${sim}`,
    leak,
    crew,
    fault,
    unseenDrift: /cooling|barometer/.test(weather) && !weather.includes("sensors"),
    rule,
    sim,
    limits: limitsFor(id, { dn_mm, material: "pvc", laid_length_m: pick([12, 30, 55], n, 5) }),
  };
}
