import { at } from "../curve.ts";
import type { Bins } from "./bins.ts";
import { fitLine, valueAt } from "./line.ts";
import { type Action, GIVEN_BACK } from "./settling.ts";

export interface SeenAction extends Action {
	from_s: number;
}

const TREND_BINS = 6;
const NOISE_MEMORY = 0.05;

/**
 * Sees air being put in or let out while the pipe should be quiet: a second that departs from the trend of the seconds
 * before it by more than noise, the gauge's step and the curvature of a dying transient allow.
 */
export class Flow {
	readonly actions: SeenAction[] = [];
	/** The pressure is being moved right now. */
	moving = false;
	readonly #resolution_Pa: number;
	readonly #least_Pa: number;
	readonly #shortTau_s: number;
	#sigma_Pa: number;
	#quietFrom = 0;
	#quietBins = 0;
	#begun: { t_s: number; p_Pa: number; slope: number; last_s: number } | null =
		null;

	/** `test_Pa` sets the scale: nothing below 0.15 % of it is ever called an action. */
	constructor(about: {
		resolution_Pa: number;
		test_Pa: number;
		tau_s: number;
	}) {
		this.#resolution_Pa = about.resolution_Pa;
		this.#least_Pa = 0.0015 * about.test_Pa;
		this.#shortTau_s = 0.4 * about.tau_s;
		this.#sigma_Pa = Math.max(about.resolution_Pa / 2, 0.0003 * about.test_Pa);
	}

	/** Notes an action seen by other means (the charge itself) and starts the trend anew at bin `i`. */
	note(action: SeenAction, i: number): void {
		this.actions.push(action);
		this.#restart(i);
	}

	/** Takes bin `i` of `bins`; returns the action that has just ended, if one has. */
	step(bins: Bins, i: number): SeenAction | null {
		if (this.#begun !== null) return this.#whileMoving(bins, i, this.#begun);
		const from = Math.max(this.#quietFrom, i - TREND_BINS);
		this.#quietBins = i - from;
		if (this.#quietBins < 4) return null;
		const trend = fitLine(bins.t_s, bins.p_Pa, from, i);
		const t = at(bins.t_s, i);
		const departure = at(bins.p_Pa, i) - valueAt(trend, t);
		if (Math.abs(departure) <= this.#threshold(t, Math.sign(departure))) {
			this.#sigma_Pa = Math.sqrt(
				(1 - NOISE_MEMORY) * this.#sigma_Pa ** 2 +
					NOISE_MEMORY * departure ** 2,
			);
			return null;
		}
		const before = at(bins.t_s, i - 1);
		this.#begun = {
			t_s: before,
			p_Pa: valueAt(trend, before),
			slope: trend.slope,
			last_s: t,
		};
		this.moving = true;
		return null;
	}

	#whileMoving(
		bins: Bins,
		i: number,
		begun: { t_s: number; p_Pa: number; slope: number; last_s: number },
	): SeenAction | null {
		const t = at(bins.t_s, i);
		const p = at(bins.p_Pa, i);
		const rate =
			(p - at(bins.p_Pa, i - 1)) / Math.max(0.5, t - at(bins.t_s, i - 1));
		const step = p - begun.p_Pa - begun.slope * (t - begun.t_s);
		const natural = (1.2 * GIVEN_BACK * Math.abs(step)) / this.#shortTau_s;
		if (Math.abs(rate - begun.slope) > this.#noiseThreshold() + natural)
			begun.last_s = t;
		if (t - begun.last_s < 2) return null;
		this.#begun = null;
		this.moving = false;
		this.#restart(i);
		if (Math.abs(step) <= this.#noiseThreshold()) return null;
		const action = { from_s: begun.t_s, to_s: begun.last_s, step_Pa: step };
		this.actions.push(action);
		return action;
	}

	#restart(i: number): void {
		this.#quietFrom = Math.max(0, i - 1);
		this.#begun = null;
		this.moving = false;
	}

	#noiseThreshold(): number {
		return Math.max(
			5 * this.#sigma_Pa,
			1.5 * this.#resolution_Pa,
			this.#least_Pa,
		);
	}

	/** A transient after pumping bends up, after a bleed down; a straight trend runs past it by this much. */
	#threshold(t: number, sign: number): number {
		let bend = 0;
		for (const action of this.actions) {
			if (Math.sign(action.step_Pa) !== sign) continue;
			const left =
				GIVEN_BACK *
				Math.abs(action.step_Pa) *
				Math.exp(-(t - action.to_s) / (5 * this.#shortTau_s));
			bend += (3.5 * left) / this.#shortTau_s ** 2;
		}
		return this.#noiseThreshold() + bend;
	}
}
