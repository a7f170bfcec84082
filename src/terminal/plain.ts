import type { LiveView, Turn } from "../core/judging/view.ts";
import type { RecordSource } from "../core/link.ts";
import type { Verdict, VerdictWord } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { toUnit } from "../core/units.ts";
import { duration, figure, litres, type PressureScale, pressure, pressureScale, probability, significant } from "./figures.ts";

/** Without a terminal a test is followed in lines like these; `--plain` and the end of the screen use them too. */
export const TICK_SECONDS = 10;

const SOURCE_WORDS: Readonly<Record<RecordSource, string | null>> = {
  gauge: null,
  simulated: "SIMULATED",
  imported: "IMPORTED",
  "pseudo-terminal": "PSEUDO-TERMINAL",
};

/** The word that must stand wherever a record is shown that proves no section; `null` for a real gauge. */
export const sourceWord = (source: RecordSource): string | null => SOURCE_WORDS[source];

const MEANING: Readonly<Record<VerdictWord, string>> = {
  pass: "tight by this method",
  fail: "not tight by this method",
  inconclusive: "too near the limit to say either way",
  void: "this attempt proves nothing",
};

/** One line of the log: when it became true, and what. */
export const turnLine = (turn: Turn): string => `${duration(turn.at_s).padStart(6)}  ${plainText(turn.text, 400)}`;

/** True when a 10 s mark lies between the two instants, so that a line is due. */
export const tickDue = (previous_s: number, now_s: number): boolean =>
  Math.floor(now_s / TICK_SECONDS) > Math.floor(previous_s / TICK_SECONDS);

/** How it stands now. `permitted_Pa` only sets the number of decimals. */
export function tickLine(view: LiveView, unit: string, permitted_Pa?: number): string {
  const scale = pressureScale(unit, view.hold?.permitted_Pa ?? permitted_Pa);
  const parts = [`${duration(view.at_s).padStart(6)}  ${view.phase}`, pressure(scale, view.pressure_Pa)];
  if (view.timeLeft_s !== null) parts.push(`${duration(view.timeLeft_s, "up")} left`);
  if (view.hold !== null) {
    parts.push(`drop ${pressure(scale, view.hold.drop_Pa)} of ${pressure(scale, view.hold.permitted_Pa)}`);
    if (view.hold.projected_Pa !== null) parts.push(`at the end ${pressure(scale, view.hold.projected_Pa)}`);
    if (view.hold.willFail) parts.push("will fail");
  }
  if (view.water != null && view.water.added_L !== null)
    parts.push(`${litres(view.water.added_L)} of ${litres(view.water.permitted_L)}${view.water.willFail ? ", will fail" : ""}`);
  if (!view.gauge.up) parts.push("gauge line down");
  else if (view.gauge.silent_s !== null && view.gauge.silent_s >= 3) parts.push(`gauge silent ${duration(view.gauge.silent_s)}`);
  if (view.alarm !== null) parts.push(`ALARM: ${plainText(view.alarm, 400)}`);
  return parts.join(" · ");
}

/** `a ± U unit`: U for 95 %, twice the standard uncertainty, with two digits at most (JCGM 100:2008, 7.2.6), and the value to the same place. */
function plusMinus(scale: PressureScale, value_Pa: number, u_Pa: number | null): string {
  if (u_Pa === null || !(u_Pa > 0)) return pressure(scale, value_Pa);
  const place = 1 - Math.floor(Math.log10(toUnit(2 * u_Pa, scale.unit)));
  const fine = { ...scale, width: 0, decimals: Math.min(scale.decimals + 2, Math.max(0, place)) };
  return `${figure(fine, value_Pa)} ± ${pressure(fine, 2 * u_Pa)}`;
}

function holdLines(verdict: Verdict, scale: PressureScale): string[] {
  const { hold } = verdict;
  const lines: string[] = [];
  if (hold.from_s === null || hold.to_s === null) {
    lines.push(`hold: none was made; the method asks for ${duration(hold.required_s)}`);
  } else {
    lines.push(
      `hold: ${duration(hold.to_s - hold.from_s)} of ${duration(hold.required_s)}, from ${duration(hold.from_s)} to ${duration(hold.to_s)}; ` +
        `start ${pressure(scale, hold.start_Pa)}, end ${pressure(scale, hold.end_Pa)}`,
    );
  }
  if (hold.drop_Pa !== null)
    lines.push(`drop: ${plusMinus(scale, hold.drop_Pa, hold.u_drop_Pa)} (95 %), permitted ${pressure(scale, hold.permitted_Pa)}`);
  if (hold.floor_Pa !== null) lines.push(`must remain: ${pressure(scale, hold.floor_Pa)}, remained ${pressure(scale, hold.end_Pa)}`);
  if (hold.time_s !== null) {
    const u = hold.u_time_s === null ? "" : ` ± ${significant(2 * hold.u_time_s, 2)} s (95 %)`;
    lines.push(`time of the drop: ${significant(hold.time_s, 4)} s${u}, at least ${significant(hold.required_s, 4)} s wanted`);
  }
  if (hold.probability_conforming !== null)
    lines.push(
      `probability that the true ${verdict.water === undefined ? "drop" : "loss"} is within the limit: ${probability(hold.probability_conforming)}`,
    );
  return lines;
}

/** Litres with their band, and what they are measured against. */
function waterLines({ water }: Verdict): string[] {
  if (water === undefined) return [];
  if (water.added_L === null) return [`water: not measured; permitted ${litres(water.permitted_L)}`];
  const band = water.u_added_L === null ? "" : ` ± ${litres(2 * water.u_added_L)} (95 %)`;
  const how = water.volume === "entered" ? "typed in" : "read from the standpipe";
  return [
    `water: ${litres(water.added_L)}${band}, ${how}, in ${water.top_ups} top-ups; permitted ${litres(water.permitted_L)} ` +
      `(${significant(water.litres_per_m2, 2)} L/m² on ${significant(water.area_m2, 4)} m²)`,
  ];
}

function leakLine({ leak, hold }: Verdict): string | null {
  // A fall within its own uncertainty (95 %) is no leak, and a hole worked out from it would be an invention.
  const seen_Pa = (hold.drop_Pa ?? Number.POSITIVE_INFINITY) - 2 * (hold.u_drop_Pa ?? 0);
  if (leak.decay_per_min !== null && (leak.decay_per_min <= 0 || seen_Pa <= 0)) return "leak: none to be told in the fall of the pressure";
  const parts: string[] = [];
  if (leak.decay_per_min !== null) parts.push(`${significant(leak.decay_per_min * 100, 2)} % of the pressure per minute`);
  if (leak.rate_L_min !== null) parts.push(`${significant(leak.rate_L_min, 2)} L/min at test pressure`);
  if (leak.free_air_L_min !== null) parts.push(`${significant(leak.free_air_L_min, 2)} L/min of free air`);
  // One digit and "about": the figure is that of a model hole, not a finding.
  if (leak.hole_mm !== null)
    parts.push(`as much as one round sharp-edged hole (discharge 0.61) of about ${significant(leak.hole_mm, 1)} mm would lose`);
  if (leak.flow !== undefined)
    parts.push(`the curve bends as for a ${leak.flow === "laminar" ? "crack or seal (laminar)" : "hole (orifice)"}`);
  return parts.length === 0 ? null : `leak: ${parts.join("; ")}`;
}

/** The verdict for people, word first. One finding a line; nothing is cut. */
export function verdictLines(verdict: Verdict, unit: string): string[] {
  const scale = pressureScale(unit, verdict.hold.permitted_Pa);
  const word = sourceWord(verdict.source);
  const lines = [`${verdict.verdict.toUpperCase()}: ${MEANING[verdict.verdict]}`];
  if (word !== null) lines.push(`${word}: proves no section`);
  for (const reason of verdict.reasons) lines.push(`reason: ${plainText(reason.text, 400)}`);
  lines.push(...holdLines(verdict, scale), ...waterLines(verdict));
  const leak = leakLine(verdict);
  if (leak !== null) lines.push(leak);
  for (const remark of verdict.remarks) lines.push(`remark: ${plainText(remark.text, 400)}`);
  lines.push(`method: ${plainText(verdict.method.title)} (${plainText(verdict.method.source)})`);
  lines.push(`judged ${verdict.judge === "live" ? "live" : "on the whole curve"}, ${verdict.rule} rule, ${verdict.readings} readings`);
  return lines;
}
