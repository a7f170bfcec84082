/** Upper edges of the classes of arrival gaps, ms; the last class has none. */
export const GAP_EDGES_ms = [5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000] as const;

/** How far apart readings arrive. */
export interface GapView {
  /** One count for each edge (gaps below it, not below the edge before), and one for all longer gaps. */
  counts: readonly number[];
  longest_ms: number | null;
  mean_ms: number | null;
}

/** A histogram of arrival gaps since the start. An outage of the line is no gap: `broken` is called for it. */
export class Gaps {
  readonly #counts = new Array<number>(GAP_EDGES_ms.length + 1).fill(0);
  #last_ms: number | null = null;
  #longest_ms: number | null = null;
  #sum_ms = 0;
  #n = 0;

  reading(at_ms: number): void {
    if (this.#last_ms !== null) this.#add(Math.max(0, at_ms - this.#last_ms));
    this.#last_ms = at_ms;
  }

  broken(): void {
    this.#last_ms = null;
  }

  #add(gap_ms: number): void {
    const place = GAP_EDGES_ms.findIndex((edge) => gap_ms < edge);
    const index = place < 0 ? GAP_EDGES_ms.length : place;
    this.#counts[index] = (this.#counts[index] ?? 0) + 1;
    this.#longest_ms = Math.max(this.#longest_ms ?? 0, gap_ms);
    this.#sum_ms += gap_ms;
    this.#n++;
  }

  view(): GapView {
    return { counts: [...this.#counts], longest_ms: this.#longest_ms, mean_ms: this.#n === 0 ? null : this.#sum_ms / this.#n };
  }
}
