import { describe, expect, it } from "vitest";
import { findDriver } from "../../drivers/index.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import type { Turn } from "../../src/core/judging/view.ts";
import { displayUnit } from "../../src/core/methods/displayUnit.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import type { RecordStart } from "../../src/core/record.ts";
import { goTo, newPlayer, toEnd } from "../../src/core/replay/player.ts";
import { keyedDriver } from "../../src/links/keyed.ts";
import { fold, startFold, type Update } from "../../src/session/fold.ts";
import { readingsSeen } from "../../src/session/readingsSeen.ts";
import { crewState, pictureOf } from "../../src/terminal/screens/replayPicture.ts";
import { layTest } from "../../src/terminal/screens/testLayout.ts";
import { firstState, nextTestState, type TestState } from "../../src/terminal/screens/testState.ts";
import { closedLoop } from "../support/closedLoop.ts";
import { filmed } from "../support/films.ts";
import { TubeCrew } from "../support/tubeCrew.ts";
import { WaterCrew } from "../support/waterCrew.ts";
import { factsOf } from "./cannedFilm.ts";

const SIZES = [
  [80, 24],
  [120, 40],
  [60, 12],
] as const;

const wordsOf = (state: TestState): string =>
  layTest(state)
    .map((line) =>
      line
        .map(({ text }) => text)
        .join("")
        .trimEnd(),
    )
    .join("\n");

/** The crew's screen, worked as a running test works it; what it shows at every whole second is written down. */
class Crew {
  readonly seen: { at_ms: number; frames: string[] }[] = [];
  readonly asks: string[] = [];
  readonly turns: Turn[] = [];
  #state: TestState | null = null;
  #next_ms = 0;

  readonly start: RecordStart;
  readonly #every_ms: number;

  constructor(start: RecordStart, every_ms: number) {
    this.start = start;
    this.#every_ms = every_ms;
  }

  update = (update: Update): void => {
    const { event, turns, judge } = update;
    if (this.#state === null) this.#begin(event.at_ms);
    while (this.#next_ms < event.at_ms) this.look();
    const points = readingsSeen(update).flatMap(({ at_ms, pressure_Pa }) =>
      pressure_Pa === null ? [] : [{ at_s: judge.seconds(at_ms), pressure_Pa }],
    );
    const view = structuredClone(judge.view(event.at_ms));
    if (this.asks.at(-1) !== view.ask.say) this.asks.push(view.ask.say);
    this.turns.push(...turns);
    const told = turns.filter(({ code }) => code !== "verdict");
    this.#fold({ kind: "update", now_ms: event.at_ms, view: { ...view, verdict: null }, turns: told, points });
    // The verdict is told when it is on disk.
    if (event.kind === "end")
      this.#fold({ kind: "update", now_ms: event.at_ms, view, turns: turns.filter(({ code }) => code === "verdict"), points: [] });
  };

  look(at_ms = this.#next_ms): void {
    this.#fold({ kind: "tick", now_ms: at_ms });
    const state = this.#state;
    if (state !== null) this.seen.push({ at_ms, frames: SIZES.map(([columns, rows]) => wordsOf({ ...state, columns, rows })) });
    this.#next_ms = at_ms + this.#every_ms;
  }

  #begin(at_ms: number): void {
    const { limits } = this.start;
    const facts = { start: this.start, unit: displayUnit(limits), cautions: limits.cautions, colour: false };
    this.#state = firstState(facts, at_ms);
    this.#next_ms = at_ms;
  }

  #fold(event: Parameters<typeof nextTestState>[1]): void {
    if (this.#state !== null) this.#state = nextTestState(this.#state, event).state;
  }
}

/** Holds what a replay shows, gone to second by second forwards and then backwards, against what the crew saw. */
function compared(crew: Crew, journal: readonly JournalEvent[]): void {
  const { film } = filmed(crew.start, journal);
  const picture = pictureOf({ ...factsOf(film), unit: displayUnit(crew.start.limits), cautions: crew.start.limits.cautions });
  const frames = (at_ms: number | null): string[] => {
    const player = newPlayer(film, 1);
    const there = at_ms === null ? toEnd(film, player, 0) : goTo(film, player, (at_ms - film.from_ms) / 1000, 0);
    return SIZES.map(([columns, rows]) =>
      wordsOf({ ...crewState(picture, there, { columns, rows, colour: false, turned: 0 }), desk: false }),
    );
  };
  crew.look(film.to_ms);
  expect(crew.seen.length).toBeGreaterThan(100);
  const last = crew.seen.pop();
  expect(frames(null)).toEqual(last?.frames);
  for (const { at_ms, frames: wanted } of crew.seen) expect(frames(at_ms)).toEqual(wanted);
  for (const { at_ms, frames: wanted } of crew.seen.reverse()) expect(frames(at_ms)).toEqual(wanted);
  const asks = journal.map((_, i) => film.views.at(i).ask.say);
  expect(asks.filter((say, i) => say !== asks[i - 1])).toEqual(crew.asks);
  expect(film.turnsUntil(film.length - 1, 100_000)).toEqual(crew.turns);
}

const LIMITS = limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 45 });

describe("second by second a replay shows the crew's own screen, forwards and backwards", () => {
  it.each([
    ["pass", "leak=0.6&seed=7", "pass"],
    ["fail", "leak=1.7&seed=8&rate=10", "fail"],
    ["silence", "leak=0.5&seed=10&silence=420:40", null],
    ["a hose that is shut", "leak=0.5&seed=9&hose=blocked", "void"],
    ["a crew that does not listen", "leak=0.5&seed=4&crew=absent", null],
    ["air and barometer beside", "leak=0.7&seed=5&protocol=xdr&sensors=air,ambient", "pass"],
  ])("%s", async (_name, sim, verdict) => {
    const crews: Crew[] = [];
    const each = (update: Update): void => {
      if (crews.length === 0) crews.push(new Crew(update.judge.start, 1000));
      crews[0]?.update(update);
    };
    const loop = await closedLoop({ sim, limits: LIMITS, keep: false, each });
    if (verdict !== null) expect(loop.last.judge.verdict?.verdict).toBe(verdict);
    const [crew] = crews;
    if (crew === undefined) throw new Error("nothing came");
    compared(crew, loop.journal);
  });

  it.each([
    [
      "water, a gauge, litres typed",
      7000,
      () => new WaterCrew().untilHold().wait(600, 100).type("added 0.5").to(30_000, 60).wait(1200, 50),
    ],
    ["water, heads and litres typed", 7000, () => new WaterCrew({ keyed: true }).untilHold().wait(600).type("added 1").wait(1300)],
    ["air read by eye", 1000, () => new TubeCrew().untilHold().readings("96", "48 46", null, "88", "84").opened().wait(30)],
  ] as const)("%s", (_name, every_ms, played) => {
    const { start, journal } = played();
    const crew = new Crew(start, every_ms);
    const driver =
      start.gauge.protocol === "keyed" ? keyedDriver : findDriver(start.gauge.protocol).create(start.gauge.driverOptions ?? {});
    const folding = startFold(driver, start);
    for (const event of journal) crew.update(fold(folding, event));
    compared(crew, journal);
  });
});

it("what a crew typed of a tube is a reading to step to, with its place on the curve", () => {
  const { start, journal } = new TubeCrew().untilHold().readings("96", "48 46").wait(3);
  const { film } = filmed(start, journal);
  const typed = journal.flatMap((event, i) => (event.kind === "key" && /^(start-)?(read|legs) /.test(event.action) ? [i] : []));
  expect(typed.length).toBeGreaterThan(3);
  expect(Array.from({ length: film.readings.length }, (_, i) => film.readings.eventOf(i))).toEqual(typed);
  // 48 and 46 mm from the middle: 94 mm of water at 9.80665 Pa each.
  expect(film.readings.at(film.readings.length - 1).pressure_Pa).toBeCloseTo(94 * 9.80665, 3);
});
