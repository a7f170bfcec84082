import type { Clock } from "../core/link.ts";
import type { ReviewBook } from "../core/review/book.ts";
import type { OpenedRecord } from "../core/review/opened.ts";
import type { ReviewRow, ReviewState } from "../core/review/row.ts";
import { pacer } from "./parts/pacing.ts";
import { nextReview, type ReviewEvent } from "./screens/reviewFold.ts";
import type { ReviewKey } from "./screens/reviewKeys.ts";
import {
  type Alike,
  firstReview,
  type GaugeZeros,
  type ReviewFacts,
  type ReviewScreenState,
  type ReviewWish,
  rowAt,
  shownRecord,
} from "./screens/reviewState.ts";

/** What the screen asks of the archive. All may throw; the sentence is then shown. */
export interface ReviewSource {
  /** A record whose curve is at hand; `null`: it has to be worked out, by `open`. */
  kept(id: string): OpenedRecord | null;
  open(id: string): OpenedRecord;
  /** From its journal, whatever is kept; and what of the kept was not so, in words. */
  openAnew(id: string): { record: OpenedRecord; notice: string | null };
  say(wish: Extract<ReviewWish, { kind: "say" }>): { record: OpenedRecord; state: ReviewState; notice: string };
  alike(id: string): Alike[];
  zeros(): GaugeZeros[];
  book(): ReviewBook;
  /** Works out one curve nobody has looked at yet and says of which row what is new; `null`: none is left. */
  catchUp(): { number: number; second: ReviewRow["second"]; differs: boolean } | null;
  /** Holds a few more rows against the seals of their records; true when some changed. `null`: all were looked at. */
  holdMore(): boolean | null;
  /** Why something went wrong, for people. */
  explain(error: unknown): string;
}

export interface ReviewLoopParts {
  facts: ReviewFacts & { columns: number | undefined; rows: number | undefined; colour: boolean };
  clock: Clock;
  source: ReviewSource;
  draw(state: ReviewScreenState): void;
  onClose(): void;
}

const FRAME_MS = 40;
/** A curve that must be worked out waits until the cursor rests. */
const REST_MS = 150;
/** Between two curves worked out while nobody presses a key. */
const IDLE_MS = 400;

/** The review's state and when it is drawn; the archive is asked in between keys. */
export class ReviewLoop {
  state: ReviewScreenState;
  readonly #parts: ReviewLoopParts;
  readonly #pace: ReturnType<typeof pacer>;
  #cancelOpen: () => void = () => undefined;
  #cancelIdle: () => void = () => undefined;
  #cancelClose: () => void = () => undefined;
  /** Number of the record that was worked out from its journal last. */
  #seen: number | null = null;

  constructor(parts: ReviewLoopParts) {
    this.#parts = parts;
    this.state = firstReview(parts.facts);
    this.#pace = pacer(parts.clock, FRAME_MS, () => parts.draw(this.state));
  }

  start(): void {
    this.#show();
    this.#idle();
  }

  stop(): void {
    this.#cancelOpen();
    this.#cancelIdle();
    this.#cancelClose();
    this.#pace.stop();
  }

  resize(columns: number | undefined, rows: number | undefined): void {
    this.#fold({ kind: "size", columns, rows });
    this.#parts.draw(this.state);
  }

  key(key: ReviewKey): void {
    this.#fold({ kind: "key", key });
    this.#show();
    this.#lookClosely();
    this.#idle();
  }

  #fold(event: ReviewEvent): void {
    const { state, wish } = nextReview(this.state, event);
    this.state = state;
    this.#pace.want();
    if (wish !== null) this.#grant(wish);
  }

  /** What the archive refuses is said on the screen; the screen goes on. */
  #trying(action: () => ReviewEvent | null, refused: "notice" | "trouble" = "notice"): void {
    let event: ReviewEvent | null;
    try {
      event = action();
    } catch (error) {
      event = { kind: refused, text: this.#parts.source.explain(error) };
    }
    if (event !== null) this.#fold(event);
  }

  #grant(wish: ReviewWish): void {
    const { source, onClose } = this.#parts;
    switch (wish.kind) {
      case "close":
        return onClose();
      case "say":
        return this.#trying(() => ({ kind: "said", row: wish.row, ...source.say(wish) }));
      case "lay":
        return this.#trying(() => ({ kind: "laid", records: wish.ids.map((id) => source.open(id)) }));
      case "alike":
        return this.#trying(() => ({ kind: "alike", alike: source.alike(wish.id) }));
      case "zeros":
        return this.#trying(() => ({ kind: "zeros", zeros: source.zeros() }));
      case "reload":
        return this.#trying(() => ({ kind: "book", book: source.book() }));
    }
  }

  /** The record under the cursor: at once when its curve is kept, else when the cursor has come to rest. */
  #show(): void {
    this.#cancelOpen();
    const row = rowAt(this.state);
    if (row < 0 || this.state.opened?.number === this.state.book.number(row)) return;
    const id = this.state.book.text(row, "id");
    const { clock, source } = this.#parts;
    this.#trying(() => {
      const record = source.kept(id);
      if (record !== null) return { kind: "opened", record };
      this.#cancelOpen = clock.at(clock.now_ms() + REST_MS, () =>
        this.#trying(() => ({ kind: "opened", record: source.open(id) }), "trouble"),
      );
      return null;
    }, "trouble");
  }

  /** A record that is opened whole is worked out from its journal, once: no seal covers what is kept. */
  #lookClosely(): void {
    this.#cancelClose();
    const record = shownRecord(this.state);
    if (this.state.page !== "record" || record === null || record.number === this.#seen) return;
    const { clock, source } = this.#parts;
    this.#cancelClose = clock.at(clock.now_ms() + REST_MS, () => {
      this.#seen = record.number;
      this.#trying(() => ({ kind: "opened", ...source.openAnew(record.start.id) }), "trouble");
    });
  }

  /** Second opinions nobody has asked for yet are worked out one by one while the keyboard rests, and lines are held against their seals. */
  #idle(): void {
    const { clock, source } = this.#parts;
    this.#cancelIdle();
    this.#cancelIdle = clock.at(clock.now_ms() + IDLE_MS, () => {
      this.#trying(() => {
        const news = source.catchUp();
        const held = source.holdMore();
        if (news === null && held === null) return null;
        this.#idle();
        if (held === true) this.#fold({ kind: "held" });
        return news === null ? null : { kind: "second", ...news };
      });
    });
  }
}
