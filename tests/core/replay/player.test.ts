import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import { limitsFor } from "../../../src/core/methods/index.ts";
import type { Film } from "../../../src/core/replay/film.ts";
import {
  faster,
  goTo,
  home,
  newPlayer,
  type Player,
  pause,
  play,
  SPEEDS,
  stepMark,
  stepReading,
  stepSeconds,
  tick,
  toEnd,
} from "../../../src/core/replay/player.ts";
import { closedLoop } from "../../support/closedLoop.ts";
import { filmed } from "../../support/films.ts";

let film: Film;
beforeAll(async () => {
  const limits = limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 45 });
  const loop = await closedLoop({ sim: "leak=0.6&seed=7&silence=520:8", limits, keep: false });
  film = filmed(loop.start, loop.journal).film;
});

/** Played from the start in frames of 100 ms of virtual time up to a time of the tape. */
function playedTo(at_ms: number, speed: number): Player {
  let player = play(film, newPlayer(film, speed), 0);
  for (let now_ms = 0; player.running !== null && player.at_ms < at_ms; now_ms += 100) player = tick(film, player, now_ms);
  return player;
}

describe("speeds", () => {
  it.each(SPEEDS.map((speed) => [speed]))("×%d: ten seconds are so many seconds of the tape", (speed) => {
    const player = tick(film, play(film, newPlayer(film, speed), 7), 10_007);
    const at_ms = Math.min(film.from_ms + 10_000 * speed, film.to_ms);
    expect(player.at_ms).toBe(at_ms);
    expect(player.index).toBe(film.tape.indexAt(at_ms));
    // At its end it stands.
    expect(player.running === null).toBe(at_ms === film.to_ms);
  });

  it("change without a jump, up to a thousand and down to one", () => {
    let player = tick(film, play(film, newPlayer(film, 1), 0), 1000);
    const seen: number[] = [];
    for (let i = 0; i < 12; i++) {
      const { at_ms } = player;
      player = faster(player, 1, 1000);
      expect(player.at_ms).toBe(at_ms);
      seen.push(player.speed);
    }
    expect(seen).toEqual([...SPEEDS.slice(1), 1000, 1000, 1000]);
    player = tick(film, faster(player, -1, 1000), 1010);
    expect(player.at_ms).toBe(film.from_ms + 1000 + 10 * 500);
    expect(newPlayer(film, 100_000).speed).toBe(1000);
    expect(newPlayer(film, 0.5).speed).toBe(1);
  });
});

it("stands while it is paused, and goes on where it stood", () => {
  const paused = pause(tick(film, play(film, newPlayer(film, 10), 0), 3000));
  expect(tick(film, paused, 60_000)).toEqual(paused);
  expect(tick(film, play(film, paused, 60_000), 60_100).at_ms).toBe(paused.at_ms + 1000);
  expect(play(film, toEnd(film, paused, 0), 0).at_ms).toBe(film.from_ms);
});

it("goes to a time, and beyond the ends to the ends", () => {
  const player = newPlayer(film, 1);
  expect(goTo(film, player, 100, 0)).toMatchObject({ at_ms: film.from_ms + 100_000, index: film.tape.indexAt(film.from_ms + 100_000) });
  expect(goTo(film, player, 1e9, 0)).toEqual(toEnd(film, player, 0));
  expect(goTo(film, player, -5, 0)).toEqual(home(film, player, 0));
});

it("every reading is passed, once, in both directions", () => {
  // From before the first moment, which may hold a reading.
  let player: Player = { ...newPlayer(film, 1), index: -1 };
  const places: number[] = [];
  for (let before = -2; player.index !== before; ) {
    before = player.index;
    player = stepReading(film, player, 1, 0);
    if (player.index !== before) places.push(player.index);
  }
  expect(places.length).toBe(film.readings.length);
  const back: number[] = [player.index];
  for (let before = -1; player.index !== before; ) {
    before = player.index;
    player = stepReading(film, player, -1, 0);
    if (player.index !== before) back.push(player.index);
  }
  expect(back.reverse()).toEqual(places);
});

type Step = (player: Player) => Player;
const steps = fc.array(
  fc.oneof(
    fc.constantFrom<Step>(
      (p) => stepReading(film, p, 1, 0),
      (p) => stepReading(film, p, -1, 0),
      (p) => stepMark(film, p, 1, 0),
      (p) => stepMark(film, p, -1, 0),
      (p) => stepSeconds(film, p, 1, 0),
      (p) => stepSeconds(film, p, -1, 0),
      (p) => toEnd(film, p, 0),
      (p) => home(film, p, 0),
    ),
    fc.integer({ min: 0, max: 800 }).map(
      (at_s): Step =>
        (p) =>
          goTo(film, p, at_s, 0),
    ),
  ),
  { maxLength: 40 },
);

it("wherever it was before, a time is the same place as when played to", () => {
  fc.assert(
    fc.property(steps, fc.integer({ min: 0, max: 70 }), (wandering, tens) => {
      const wandered = wandering.reduce((player, step) => step(player), newPlayer(film, 100));
      expect(wandered.at_ms).toBeGreaterThanOrEqual(film.from_ms);
      expect(wandered.at_ms).toBeLessThanOrEqual(film.to_ms);
      expect(film.tape.reached_ms(wandered.index)).toBeLessThanOrEqual(wandered.at_ms);
      const there = goTo(film, wandered, tens * 10, 0);
      expect(pause(playedTo(there.at_ms, 100))).toEqual(there);
    }),
    { numRuns: 60 },
  );
});
