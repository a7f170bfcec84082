import type { CrewAct } from "../../src/core/driver.ts";
import { between, draw } from "./dice.ts";
import type { Live } from "./state.ts";
import { barometer_Pa } from "./weather.ts";

/**
 * People at the pump and the valve: they react after seconds, pump in strokes with rests, and stop a few thousandths of the
 * figure off. They know the pipe only by the gauge at the tee. Common practice, no source.
 */
const MISS = 0.0035;
/** Pushed a little past the figure and let go a little short of it, both as a fraction of it. */
const NEAR = 0.001;
const ENOUGH = 8;
/** Someone who sees the gauge this far from the asked figure, and is still asked for it, sets to again. */
const SLACK = 0.01;
const DAY_s = 86_400;

/** What the tee shows, relative to atmosphere; crews read past gusts. */
const atTee = (s: Live): number => s.hose_Pa - barometer_Pa(s);

const delay = (s: Live, low_s: number, high_s: number): number => s.time_s + between(s, "crewDice", low_s, high_s);

/** Takes in what is asked. A figure that only changes while the crew makes for the same act keeps its start. */
export function hear(s: Live, act: CrewAct): void {
  const latest = s.heard ?? s.order;
  if (latest?.act === act.act && figure(latest) === figure(act)) return;
  if (s.heard?.act !== act.act) {
    if (act.act === "wait" || act.act === "hands-off") s.heardDue_s = delay(s, 0.5, 1.2);
    else s.heardDue_s = s.task === act.act ? delay(s, 0.5, 1) : delay(s, 2, 5);
  }
  s.heard = act;
}

const figure = (act: CrewAct): number => ("to_Pa" in act ? act.to_Pa : 0);

/** Begins what was heard once its time has come. */
export function obey(s: Live, time_s: number): void {
  if (s.heard !== null && time_s >= s.heardDue_s) {
    const act = s.heard;
    s.heard = null;
    s.order = act;
    if (act.act === "pump" || act.act === "bleed") begin(s, act.act, act.to_Pa, MISS, time_s);
    else s.task = "none";
    // The walk to the plug.
    if (act.act === "vent") s.ventAt_s = time_s + between(s, "crewDice", 3, 7);
  }
  if (s.task === "none" && s.order !== null && time_s >= s.lookAgain_s) lookAgain(s, s.order, time_s);
}

function lookAgain(s: Live, order: CrewAct, time_s: number): void {
  if (order.act !== "pump" && order.act !== "bleed") return;
  const over = (s.plan.sign * (atTee(s) - order.to_Pa)) / Math.abs(order.to_Pa);
  if (order.act === "pump" ? over < -SLACK : over > SLACK) begin(s, order.act, order.to_Pa, MISS, time_s);
  else s.lookAgain_s = time_s + 2;
}

/** Sets to work at pump or valve; `miss` is the largest error of stopping as a fraction of the figure. */
export function begin(s: Live, task: "pump" | "bleed", to_Pa: number, miss: number, time_s: number): void {
  const { resolution_Pa } = s.plan.settings;
  s.task = task;
  s.aim_Pa = to_Pa + between(s, "crewDice", -miss, miss) * to_Pa + between(s, "crewDice", -0.5, 0.5) * resolution_Pa;
  s.taskFrom_s = time_s;
  s.ventOpen = false;
  s.ventAt_s = Number.POSITIVE_INFINITY;
  s.stroke = "return";
  s.strokeEnd_s = time_s;
  s.atFigure = 0;
  s.bleedFrom_Pa = atTee(s);
  s.bleedEnd_s = time_s + between(s, "crewDice", 1, 2);
}

/** The pressure the tee may not pass in the next short step, and which way air goes; `null` when the valve is shut. */
export function atTheValve(s: Live, time_s: number): number | null {
  if (time_s >= s.ventAt_s) s.ventOpen = true;
  if (s.task === "pump") return pumping(s, time_s) ? s.aim_Pa * (1 + NEAR) : null;
  return s.task === "bleed" ? bleeding(s, time_s) : null;
}

/** True while a stroke is pushed. The crew looks at the gauge when the pump is drawn back, for then it shows the pipe. */
function pumping(s: Live, time_s: number): boolean {
  if (time_s < s.strokeEnd_s) return s.stroke === "push";
  if (s.stroke === "push") {
    // So many strokes on end with the needle at the figure: a leak takes as much as they bring, it will not get better.
    s.atFigure = s.plan.sign * (atTee(s) - s.aim_Pa) >= 0 ? s.atFigure + 1 : 0;
    if (s.atFigure === ENOUGH) return stop(s, time_s, 4);
    s.stroke = "return";
    s.strokeEnd_s = time_s + between(s, "crewDice", 0.4, 0.6);
    if (draw(s, "crewDice") < 0.06) s.strokeEnd_s += between(s, "crewDice", 2, 7);
    return false;
  }
  if (s.plan.sign * (atTee(s) - s.aim_Pa) >= -NEAR * Math.abs(s.aim_Pa)) return stop(s, time_s, 4);
  if (time_s - s.taskFrom_s > s.plan.pump.patience_s) return stop(s, time_s, DAY_s);
  s.stroke = "push";
  s.strokeEnd_s = time_s + between(s, "crewDice", 0.5, 0.7);
  return true;
}

/** Lets the needle sink to the figure in a second or two and holds it there until hardly any air comes. */
function bleeding(s: Live, time_s: number): number | null {
  const left = Math.max(0, (s.bleedEnd_s - time_s) / (s.bleedEnd_s - s.taskFrom_s));
  const flowing = Math.abs(s.tee_kg_s) > 0.05 * s.plan.pump.stroke_kg_s;
  if (left > 0 || (flowing && time_s < s.bleedEnd_s + 6)) return s.aim_Pa + left * (s.bleedFrom_Pa - s.aim_Pa);
  stop(s, time_s, 4);
  return null;
}

function stop(s: Live, time_s: number, lookAfter_s: number): false {
  s.task = "none";
  s.lookAgain_s = time_s + lookAfter_s;
  return false;
}
