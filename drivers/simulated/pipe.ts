/**
 * The simulated pipe: trapped air that leaks, warms and cools, people who pump, and a gauge at a tee.
 *
 *     pump ─ valve ─┬─ hose (resistance, or blocked) ─ plug ═══ pipe: air │ skin of wall │ ground ═══ plug ─ vent
 *                 gauge                                            └ leak
 *
 * Pure: `step` makes a new state. The gauge sees the tee; only with no air flowing is that the pipe.
 */
import type { CrewAct } from "../../src/core/driver.ts";
import { advance, BAROMETER_Pa, passed, pressureOf, R, REST_K, settledGas, throughHole } from "./air.ts";
import { atTheValve, hear, obey } from "./crew.ts";
import { between, castDice } from "./dice.ts";
import { readGauge, startFaults } from "./gauge.ts";
import { ownHead } from "./habits.ts";
import { planFor } from "./plan.ts";
import type { SimulatedSettings } from "./settings.ts";
import { type Live, NOTHING_DONE, type PipeState } from "./state.ts";
import { barometer_Pa, blow, ground_K } from "./weather.ts";

/** Strokes and valves need short steps; still air does not. */
const BUSY_s = 0.05;
const QUIET_s = 0.1;
const THERMOMETER_s = 15;

/** A plugged pipe at rest at time 0; with `gauge_Pa` one that has settled at that pressure, for checks without a crew. */
export function startPipe(settings: SimulatedSettings, gauge_Pa = 0): PipeState {
  const dice = castDice(settings.seed);
  const plan = planFor(settings, dice);
  const ownStart_s = between(dice, "crewDice", 3, 8);
  const gas = settledGas(plan.vessel, plan.volume_m3, gauge_Pa);
  return {
    ...gas,
    ...dice,
    ...NOTHING_DONE,
    plan,
    hose_Pa: BAROMETER_Pa + (settings.hose === "blocked" ? 0 : gauge_Pa),
    thermometer_K: gas.air_K,
    shown_Pa: settings.hose === "blocked" ? 0 : gauge_Pa,
    habitDue_s: settings.crew === "obedient" ? Number.POSITIVE_INFINITY : ownStart_s,
  };
}

/** The next sample. `acts` are what the crew was asked since the last one; a crew with its own head does not hear them. */
export function step(state: PipeState, acts: readonly CrewAct[]): PipeState {
  const s: Live = { ...state };
  const { settings } = s.plan;
  if (settings.crew === "obedient") for (const act of acts) hear(s, act);
  const until_s = (s.sample + 1) / settings.rate_Hz;
  const span_s = until_s - s.time_s;
  const from_s = s.time_s;
  const steps = Math.ceil(span_s / (isBusy(s) ? BUSY_s : QUIET_s) - 1e-6);
  for (let i = 0; i < steps; i++) {
    s.time_s = from_s + (span_s * i) / steps;
    startFaults(s, s.time_s);
    flow(s, span_s / steps);
  }
  s.sample += 1;
  s.time_s = until_s;
  s.thermometer_K += (s.air_K - s.thermometer_K) * (1 - Math.exp(-span_s / THERMOMETER_s));
  startFaults(s, s.time_s);
  blow(s, span_s);
  readGauge(s);
  return s;
}

const isBusy = (s: Live): boolean => s.task !== "none" || s.heard !== null || s.ventOpen || s.habitDue_s < Number.POSITIVE_INFINITY;

/** One short step of people, tee, hose, vent and pipe. */
function flow(s: Live, step_s: number): void {
  const { plan } = s;
  if (plan.settings.crew === "obedient") obey(s, s.time_s);
  else ownHead(s, s.time_s);
  const outside_Pa = barometer_Pa(s);
  const toPipe_kg = throughHose(s, atTheValve(s, s.time_s), outside_Pa, step_s);
  const topUp_kg = s.time_s < s.topUpUntil_s ? s.topUp_kg_s * step_s : 0;
  const vent_kg_s = s.ventOpen ? throughHole(openVent_m2(s), pressureOf(s), outside_Pa, s.air_K) : 0;
  advance(s, plan.vessel, ground_K(s), outside_Pa, toPipe_kg + topUp_kg, passed(vent_kg_s, step_s, s, outside_Pa), step_s);
}

/** A careful hand cracks the vent first and has it open after this long. */
const VENT_OPENS_s = 5;
const openVent_m2 = (s: Live): number => s.plan.vent_m2 * Math.min(1, (s.time_s - s.ventAt_s) / VENT_OPENS_s) ** 2;

/**
 * Moves air between tee and pipe and returns what reached the pipe, kg. `limit_Pa` is the gauge pressure at which whoever
 * pushes or bleeds holds the tee; `null`: shut. The hose is so small that its pressure is found implicitly.
 */
function throughHose(s: Live, limit_Pa: number | null, outside_Pa: number, step_s: number): number {
  const { hose, pump, sign, settings } = s.plan;
  const pipe_Pa = pressureOf(s);
  const lost_Pa = Math.abs(s.hose_Pa - pipe_Pa);
  const flow_kg_s = (Math.sqrt(hose.linear ** 2 + 4 * hose.square * lost_Pa) - hose.linear) / (2 * hose.square);
  const conductance = settings.hose === "blocked" ? 0 : lost_Pa < 1e-6 ? 1 / hose.linear : flow_kg_s / lost_Pa;
  const rise = (step_s * R * REST_K) / hose.volume_m3;
  const stiff = 1 + rise * conductance;
  s.tee_kg_s = 0;
  if (limit_Pa !== null) {
    // What holds the tee exactly at the limit, as far as arm and valve go.
    const holding = ((limit_Pa + outside_Pa) * stiff - s.hose_Pa - rise * conductance * pipe_Pa) / rise;
    const strength = s.task === "pump" ? pump.stroke_kg_s : 4 * pump.stroke_kg_s;
    const way = s.task === "pump" ? sign : -sign;
    s.tee_kg_s = way * Math.min(strength, Math.max(0, way * holding));
  }
  const before_Pa = s.hose_Pa;
  s.hose_Pa = (before_Pa + rise * (s.tee_kg_s + conductance * pipe_Pa)) / stiff;
  return s.tee_kg_s * step_s - ((s.hose_Pa - before_Pa) * hose.volume_m3) / (R * REST_K);
}
