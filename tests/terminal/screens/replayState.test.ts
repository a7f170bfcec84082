import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { Film } from "../../../src/core/replay/film.ts";
import { pause } from "../../../src/core/replay/player.ts";
import type { ReplayKey } from "../../../src/terminal/parts/replayKeys.ts";
import { shown } from "../../../src/terminal/screens/replayAsked.ts";
import { layReplay } from "../../../src/terminal/screens/replayLayout.ts";
import { secondsOf } from "../../../src/terminal/screens/replayMoves.ts";
import { firstReplay, nextReplay, type ReplayState } from "../../../src/terminal/screens/replayState.ts";
import { AS_TESTED, cannedFilm, cannedReplay, factsOf } from "../cannedFilm.ts";

const fresh = cannedReplay(80, 24);
const pressed = (state: ReplayState, ...keys: ReplayKey[]): ReplayState =>
  keys.reduce((now, key) => nextReplay(now, { kind: "key", key, real_ms: 0 }), state);

test.each([
  ["90", 90],
  ["1:30", 90],
  ["1:02:03.5", 3723.5],
  ["0:05", 5],
  ["1:99", null],
  ["", null],
  ["::", null],
  ["1.2.3", null],
])("%s is %s s", (text, seconds) => {
  expect(secondsOf(text)).toBe(seconds);
});

describe("keys", () => {
  // Reading i of the canned film is event i + 1, and came in second i.
  test.each<[ReplayKey[], { index: number; at_s: number }]>([
    [["second-on", "second-on", "second-back"], { index: 2, at_s: 1 }],
    [["reading-on"], { index: 2, at_s: 1 }],
    [["reading-on", "reading-on", "reading-back", "reading-back", "reading-back"], { index: 1, at_s: 0 }],
    [["mark-on", "mark-back", "mark-on"], { index: 11, at_s: 10 }],
    [["end", "mark-back"], { index: 671, at_s: 670 }],
    [["end"], { index: 692, at_s: 690 }],
    [["end", "home"], { index: 1, at_s: 0 }],
    [["go", "type 7", "type :10", "enter"], { index: 431, at_s: 430 }],
    [["go", "type 5:00", "erase", "erase", "erase", "enter"], { index: 6, at_s: 5 }],
    [["second-on", "go", "type 5:00", "escape"], { index: 2, at_s: 1 }],
    [["second-on", "go", "type 9:99", "enter"], { index: 2, at_s: 1 }],
  ])("%j", (keys, { index, at_s }) => {
    const { player, typed } = pressed(fresh, ...keys);
    expect({ index: player.index, at_s: player.at_ms / 1000 }).toEqual({ index, at_s });
    expect(typed).toBeNull();
  });

  test("what is no time is said, and the next key takes it away", () => {
    const state = pressed(fresh, "go", "type 9:99", "enter");
    expect(state.notice).toContain("9:99 is no time");
    expect(pressed(state, "second-on").notice).toBeNull();
  });

  test("e tells the verdict of a test stopped there", () => {
    expect(pressed(fresh, "go", "type 9:10", "enter", "ended").notice).toBe("Stopped at 9:10.0 it would be VOID: hold-too-short.");
    expect(pressed(fresh, "end", "ended").notice).toBe("Stopped at 11:30.0 it would be PASS.");
  });

  test("a reading by hand stops the play, a second does not", () => {
    const playing = pressed(fresh, "play");
    expect(playing.player.running).not.toBeNull();
    expect(pressed(playing, "second-on").player.running).not.toBeNull();
    expect(pressed(playing, "reading-on").player.running).toBeNull();
    expect(pressed(playing, "play").player.running).toBeNull();
  });
});

const KEYS: readonly ReplayKey[] = ["second-back", "second-on", "reading-back", "reading-on", "mark-back", "mark-on", "home", "end"];
const WAY = fc.array(
  fc.oneof(
    fc.constantFrom(...KEYS),
    fc.integer({ min: 0, max: 700 }).map((s): ReplayKey => `type ${s}`),
  ),
  { maxLength: 30 },
);

const wander = (state: ReplayState, way: readonly ReplayKey[]): ReplayState =>
  way.reduce((now, key) => (key.startsWith("type ") ? pressed(now, "go", key, "enter") : pressed(now, key)), state);

/** Played from the start in virtual time, ten frames a second. */
function playedTo(at_ms: number): ReplayState {
  let state = pressed(cannedReplay(80, 24), "play");
  for (let real_ms = 0; state.player.running !== null && state.player.at_ms < at_ms; real_ms += 100)
    state = nextReplay(state, { kind: "tick", real_ms });
  return { ...state, player: pause(state.player) };
}

test("scrubbing to a time, from anywhere and either way, shows every row as playing to it does", () => {
  fc.assert(
    fc.property(WAY, fc.integer({ min: 0, max: 690 }), (way, at_s) => {
      const scrubbed = pressed(wander(fresh, way), "go", `type ${at_s}`, "enter");
      const played = playedTo(at_s * 1000);
      expect(played.player.at_ms).toBe(at_s * 1000);
      expect(layReplay(scrubbed)).toEqual(layReplay(played));
    }),
    { numRuns: 100 },
  );
});

test("a what-if that ends elsewhere, as of a CSV, is gone through by its own events, and w keeps the time", () => {
  const whole = cannedFilm();
  const short = new Film(whole.start);
  // Cut in the hold; its last view is over.
  for (let i = 0; i < 500; i++) short.add({ event: whole.tape.event(i), readings: [], turns: [], view: whole.views.at(i) });
  short.finish();
  const facts = { recorded: factsOf(whole), whatIf: factsOf(short, { changes: ["tolerance 3 %"], comparison: null }) };
  const state = firstReplay({ ...facts, ...AS_TESTED, speed: 1, columns: 80, rows: 24, colour: false });
  fc.assert(
    fc.property(
      WAY,
      fc.array(fc.constantFrom<ReplayKey>("what-if", "end", "home", "mark-on", "reading-back", "play"), { maxLength: 12 }),
      (way, keys) => {
        const there = keys.reduce((now, key) => pressed(now, key), wander(state, way));
        const { film } = shown(there);
        expect(there.player.index).toBeLessThan(film.length);
        expect(there.player.at_ms).toBeLessThanOrEqual(film.to_ms);
        expect(layReplay(there)).toHaveLength(23);
        const back = pressed(pressed(there, "what-if"), "what-if");
        if (there.player.at_ms <= short.to_ms) expect(back.player.at_ms).toBe(there.player.at_ms);
      },
    ),
    { numRuns: 200 },
  );
  const judgedShorter = nextReplay({ ...pressed(cannedReplay(80, 24), "end", "rule") }, { kind: "judged", facts: facts.whatIf });
  expect(judgedShorter.showsWhatIf).toBe(true);
  expect(judgedShorter.player.index).toBe(short.length - 1);
  expect(nextReplay(pressed(judgedShorter, "rule"), { kind: "judged", facts: null })).toMatchObject({ showsWhatIf: false, asking: null });
});
