/** Texts as they are searched: compatibility forms joined, small letters, one line. */
export const folded = (text: string): string => text.normalize("NFKC").toLowerCase().replaceAll("\n", " ");

/** The longest stretch without a digit, or an end of a text, in it. */
function longestWords(text: string): number {
  let [longest, from] = [0, 0];
  for (let i = 0; i <= text.length; i++) {
    const code = i < text.length ? text.charCodeAt(i) : 10;
    if (code !== 10 && (code < 48 || code > 57)) continue;
    if (i - from > longest) longest = i - from;
    from = i + 1;
  }
  return longest;
}

/** Each different text of a column once, by a number; searched as one long string, however many rows have it. */
export class Vocabulary {
  readonly #numbers = new Map<string, number>();
  readonly #texts: string[] = [];
  #joined: string | null = null;
  #starts = new Uint32Array();
  #longest = 0;

  get size(): number {
    return this.#texts.length;
  }

  /** The number of a text, given to it now when it is new. */
  number(text: string): number {
    const known = this.#numbers.get(text);
    if (known !== undefined) return known;
    this.#joined = null;
    this.#numbers.set(text, this.#texts.length);
    return this.#texts.push(text) - 1;
  }

  text(number: number): string {
    return this.#texts[number] ?? "";
  }

  /** 1 for each text that holds `needle` (folded); at the beginning of one of its words only when `atWord`. `null`: none does. */
  holding(needle: string, atWord: boolean): Uint8Array | null {
    const joined = this.#joined ?? this.#join();
    // Ids are long lists of digits: a word is not looked for among them.
    if (longestWords(needle) > this.#longest) return null;
    let hits: Uint8Array | null = null;
    let text = 0;
    for (let place = joined.indexOf(needle); place >= 0; ) {
      text = this.#textAt(place, text);
      const next = this.#starts[text + 1] ?? joined.length;
      if (!atWord || /[\n ]/.test(joined[place - 1] ?? "\n")) {
        hits ??= new Uint8Array(this.#texts.length);
        hits[text] = 1;
        place = joined.indexOf(needle, next);
      } else place = joined.indexOf(needle, place + 1);
    }
    return hits;
  }

  /** 1 for each text for which `isSo`; `null`: for none. */
  where(isSo: (text: string) => boolean): Uint8Array | null {
    const hits = Uint8Array.from(this.#texts, (text) => (isSo(text) ? 1 : 0));
    return hits.includes(1) ? hits : null;
  }

  /** For each text its place among all when they are sorted. */
  ranks(compare: (a: string, b: string) => number): Uint32Array {
    const order = this.#texts.map((_, number) => number).sort((a, b) => compare(this.text(a), this.text(b)));
    const ranks = new Uint32Array(order.length);
    for (const [rank, number] of order.entries()) ranks[number] = rank;
    return ranks;
  }

  #join(): string {
    const parts = this.#texts.map(folded);
    this.#starts = new Uint32Array(parts.length);
    let start = 0;
    for (const [number, part] of parts.entries()) {
      this.#starts[number] = start;
      start += part.length + 1;
    }
    this.#joined = `${parts.join("\n")}\n`;
    this.#longest = longestWords(this.#joined);
    return this.#joined;
  }

  /** The last text that starts at or before `place`, not before text `from`. */
  #textAt(place: number, from: number): number {
    let low = from;
    let high = this.#texts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((this.#starts[middle] ?? 0) <= place) low = middle;
      else high = middle - 1;
    }
    return low;
  }
}
