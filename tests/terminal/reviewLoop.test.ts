import { expect, it } from "vitest";
import { ReviewBook } from "../../src/core/review/book.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { ReviewLoop, type ReviewSource } from "../../src/terminal/reviewLoop.ts";
import { shownRecord } from "../../src/terminal/screens/reviewState.ts";
import { sampleStart } from "../support/records.ts";
import { reviewRecord, reviewRow } from "../support/review.ts";

/** A loop over three records of which the first alone has its curve at hand. */
function loop(over: Partial<ReviewSource> = {}) {
  const rows = [1, 2, 3].map((number) => reviewRow({ number, id: `r${number}`, started_wall_ms: 10 - number }));
  const book = new ReviewBook(rows, 3);
  const clock = new QueueClock();
  const asked: string[] = [];
  let closed = 0;
  const record = (id: string) => reviewRecord({ number: Number(id.slice(1)) });
  const source: ReviewSource = {
    kept: (id) => (id === "r1" ? record(id) : null),
    open: (id) => {
      asked.push(id);
      return record(id);
    },
    say: () => ({ record: record("r1"), state: "accepted", notice: "done" }),
    alike: () => [],
    zeros: () => [],
    book: () => book,
    catchUp: () => null,
    holdMore: () => null,
    openAnew: (id) => ({ record: record(id), notice: null }),
    explain: (error) => `it failed: ${String(error)}`,
    ...over,
  };
  const facts = { archive: "a", writable: true, book, query: "", by: "M", columns: 80, rows: 24, colour: false };
  const made = new ReviewLoop({ facts, clock, source, draw: () => undefined, onClose: () => closed++ });
  made.start();
  return { made, clock, asked, closes: () => closed };
}

it("shows a kept curve at once and works others out when the cursor rests", () => {
  const { made, clock, asked } = loop();
  expect(shownRecord(made.state)?.number).toBe(1);
  made.key("down");
  made.key("down");
  expect(shownRecord(made.state)).toBeNull();
  clock.runUntil(clock.now_ms() + 1000);
  expect([asked, shownRecord(made.state)?.number]).toEqual([["r3"], 3]);
  made.stop();
});

it("says what the archive refuses and goes on", () => {
  const refuse = (): never => {
    throw new Error("locked");
  };
  const { made, clock } = loop({ open: refuse, say: refuse });
  made.key("down");
  clock.runUntil(clock.now_ms() + 1000);
  expect(made.state.trouble).toContain("locked");
  made.key("type a");
  made.key("enter");
  expect(made.state.notice).toContain("locked");
  made.key("down");
  expect(made.state.cursor).toBe(2);
  made.stop();
});

it("puts a review into the list and second opinions as they are worked out", () => {
  const news = [{ number: 3, second: "void" as const, differs: true }];
  const { made, clock } = loop({ catchUp: () => news.pop() ?? null });
  made.key("type a");
  made.key("enter");
  expect([made.state.book.row(0).state, made.state.notice]).toEqual(["accepted", "done"]);
  clock.runUntil(clock.now_ms() + 5000);
  expect(made.state.book.row(2)).toMatchObject({ second: "void", differs: true });
  made.stop();
});

it("closes by q and by Ctrl-C, and leaves no timer behind", () => {
  const { made, clock, asked, closes } = loop();
  made.key("type q");
  made.key("interrupt");
  expect(closes()).toBe(2);
  made.key("down");
  made.stop();
  clock.runUntil(clock.now_ms() + 10_000);
  expect(asked).toEqual([]);
});

it("looks at a record that is opened whole from its journal, once, and tells what was kept otherwise", () => {
  const anew: string[] = [];
  const { made, clock } = loop({
    openAnew: (id) => {
      anew.push(id);
      return { record: reviewRecord({ number: 1, altered: "its word" }), notice: "kept otherwise" };
    },
  });
  clock.runUntil(clock.now_ms() + 1000);
  expect(anew).toEqual([]);
  made.key("enter");
  clock.runUntil(clock.now_ms() + 1000);
  made.key("type h");
  clock.runUntil(clock.now_ms() + 1000);
  expect([anew, made.state.opened?.altered, made.state.book.row(0).standing]).toEqual([[sampleStart().id], "its word", "altered"]);
  made.stop();
});

it("holds lines against their seals while the keyboard rests, until all were looked at", () => {
  const answers = [false, true, null];
  const { made, clock } = loop({
    holdMore: () => {
      const answer = answers.shift();
      if (answer === true) made.state.book.change(2, { standing: "altered" });
      return answer ?? null;
    },
  });
  clock.runUntil(clock.now_ms() + 10_000);
  expect([answers, made.state.book.row(2).standing]).toEqual([[], "altered"]);
  made.stop();
});
