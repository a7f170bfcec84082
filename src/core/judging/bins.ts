import { at } from "../curve.ts";

/** One second of readings: mean time and mean pressure, odd ones left out. */
export interface Bin {
	t_s: number;
	p_Pa: number;
	n: number;
}

/**
 * Readings gathered by whole seconds. The live judge decides once a second whatever the gauge's rate, so that a
 * 1000 Hz and a 1 Hz gauge meet the same rules and the windows stay short.
 */
export class Bins {
	readonly t_s: number[] = [];
	readonly p_Pa: number[] = [];
	#second = Number.NEGATIVE_INFINITY;
	#times: number[] = [];
	#values: number[] = [];
	readonly #oddFloor_Pa: number;

	/** `oddFloor_Pa`: a reading nearer to its second's median than this is never left out. */
	constructor(oddFloor_Pa: number) {
		this.#oddFloor_Pa = oddFloor_Pa;
	}

	get length(): number {
		return this.t_s.length;
	}

	/** Takes one reading; returns the second before it when that one is complete. */
	push(time_s: number, pressure_Pa: number): Bin | null {
		const second = Math.floor(time_s);
		const done = second > this.#second ? this.#close() : null;
		if (second > this.#second) this.#second = second;
		this.#times.push(time_s);
		this.#values.push(pressure_Pa);
		return done;
	}

	/** Time has moved on to `time_s` without a reading; returns the last second when it is over. */
	passed(time_s: number): Bin | null {
		return Math.floor(time_s) > this.#second ? this.#close() : null;
	}

	#close(): Bin | null {
		if (this.#values.length === 0) return null;
		const bin = robustMean(this.#times, this.#values, this.#oddFloor_Pa);
		this.#times = [];
		this.#values = [];
		this.t_s.push(bin.t_s);
		this.p_Pa.push(bin.p_Pa);
		return bin;
	}

	/** Replaces the pressure of bin `i`, found odd in the light of its neighbours. */
	mend(i: number, p_Pa: number): void {
		this.p_Pa[i] = p_Pa;
	}
}

/** Mean of those within 6 scaled median deviations of the median; with fewer than four nothing can be told apart. */
function robustMean(
	times: readonly number[],
	values: readonly number[],
	floor_Pa: number,
): Bin {
	const centre = values.length < 4 ? null : median(values);
	const width =
		centre === null
			? Number.POSITIVE_INFINITY
			: Math.max(
					floor_Pa,
					6 * 1.4826 * median(values.map((v) => Math.abs(v - centre))),
				);
	let n = 0;
	let t = 0;
	let p = 0;
	for (let i = 0; i < values.length; i++) {
		if (centre !== null && Math.abs(at(values, i) - centre) > width) continue;
		n++;
		t += at(times, i);
		p += at(values, i);
	}
	return { t_s: t / n, p_Pa: p / n, n };
}

/** Middle value of a non-empty list; the mean of the two middle ones when even. */
export function median(values: readonly number[]): number {
	const sorted = [...values].sort((a, b) => a - b);
	const half = sorted.length >> 1;
	return sorted.length % 2 === 1
		? at(sorted, half)
		: (at(sorted, half - 1) + at(sorted, half)) / 2;
}
