/**
 * How often the live judge is wrong, on simulated pipes whose leak is known: a closed loop of judge, crew and pipe over
 * methods, sizes, gauges, weather, faults and crews. `npm run bench -- truth [tests]`.
 */

import type { PipeState } from "../../drivers/simulated/state.ts";
import { trueLoss_Pa } from "../../drivers/simulated/truth.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import type { Limits } from "../../src/core/methods/limits.ts";
import type { Verdict, VerdictWord } from "../../src/core/record.ts";
import { closedLoop } from "../support/closedLoop.ts";

const LEAKS = [0, 0.5, 0.8, 0.9, 0.97, 1.03, 1.1, 1.25, 2, 10];
const METHODS = [
  ["en1610-la", [100, 150, 300, 600]],
  ["en1610-lb", [100, 225, 400]],
  ["en1610-lc", [150, 300, 600]],
  ["en1610-ld", [100, 150, 300]],
  ["uk-100mm", [100, 150]],
  ["adh-110mm", [110, 300]],
] as const;
const WEATHER = ["", "", "", "&wind=5", "&cooling=0.5", "&cooling=-0.5", "&barometer=0.7", "&barometer=-0.7"];
const GAUGES = ["", "&resolution=5", "&resolution=10&noise=2", "&rate=1", "&protocol=scpi", "&flow=orifice"];

interface Outcome {
  name: string;
  leak: number;
  verdict: Verdict;
  tookOver_s: number;
}

/** The same choice every time: a hash of the case's number stands in for chance. */
const pick = <T>(list: readonly T[], n: number, salt: number): T => {
  const value = list[Math.floor((Math.abs(Math.sin(n * 12.9898 + salt * 78.233) * 43758.5453) % 1) * list.length)];
  if (value === undefined) throw new Error("nothing to pick from");
  return value;
};

async function one(n: number): Promise<Outcome> {
  const leak = LEAKS[n % LEAKS.length] ?? 0;
  const [id, sizes] = pick(METHODS, n, 1);
  const dn_mm = pick(sizes as readonly number[], n, 2);
  const sim = `leak=${leak}&seed=${n}${pick(WEATHER, n, 3)}${pick(GAUGES, n, 4)}`;
  const limits: Limits = limitsFor(id, { dn_mm, material: "pvc", laid_length_m: pick([12, 30, 55], n, 5) });
  const samples: PipeState[] = [];
  const { last } = await closedLoop({ sim, limits, keep: false, watch: (state) => void samples.push(state) });
  const { verdict, phases } = last.judge;
  if (verdict === null) throw new Error("no verdict");
  const charged_s = phases.stage.settled.charged_s ?? 0;
  const took_s = (verdict.hold.to_s ?? last.event.at_ms / 1000) - charged_s - limits.settle_s - limits.hold_s;
  void trueLoss_Pa;
  return { name: `${id} DN${dn_mm} ${sim}`, leak, verdict, tookOver_s: took_s };
}

export async function run(tests = 200, from = 0): Promise<void> {
  const table = new Map<number, Record<VerdictWord | "late", number>>();
  const wrong: string[] = [];
  const voids = new Map<string, number>();
  for (let n = from; n < from + tests; n++) {
    const { name, leak, verdict, tookOver_s } = await one(n);
    const row = table.get(leak) ?? { pass: 0, fail: 0, inconclusive: 0, void: 0, late: 0 };
    row[verdict.verdict]++;
    if (tookOver_s > 240) row.late++;
    table.set(leak, row);
    if (verdict.verdict === "void") for (const { code } of verdict.reasons) voids.set(code, (voids.get(code) ?? 0) + 1);
    const bad = (leak > 1 && verdict.verdict === "pass") || (leak < 1 && verdict.verdict === "fail");
    const { drop_Pa, permitted_Pa, u_drop_Pa, start_Pa } = verdict.hold;
    const line = `${String(n).padStart(5)} ${verdict.verdict.padEnd(5)} ${name}: drop ${drop_Pa?.toFixed(1)} of ${permitted_Pa.toFixed(0)} u ${u_drop_Pa?.toFixed(1)} start ${start_Pa?.toFixed(0)}; over by ${tookOver_s.toFixed(0)} s; ${verdict.reasons.map((r) => r.code).join(",")}`;
    if (bad || process.env["SHOW"] === "all" || (process.env["SHOW"] === "void" && verdict.verdict === "void")) wrong.push(line);
  }
  console.log("leak    pass  fail  open  void  late (hold over more than 4 min after the method's own time)");
  for (const [leak, row] of [...table].sort(([a], [b]) => a - b)) {
    console.log([leak, row.pass, row.fail, row.inconclusive, row.void, row.late].map((v) => String(v).padStart(5)).join(" "));
  }
  console.log(`void for: ${[...voids].map(([code, times]) => `${code} ${times}`).join(", ") || "nothing"}`);
  for (const line of wrong) console.log(line);
}

if (process.argv[1]?.endsWith("truth.ts")) await run(Number(process.argv[2] ?? 200), Number(process.argv[3] ?? 0));
