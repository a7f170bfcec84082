import type { LiveView, Turn } from "../core/judging/view.ts";
import type { Verdict } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { readingsSeen } from "../session/readingsSeen.ts";
import type { Update } from "../session/session.ts";
import type { TestScreenHandle } from "../terminal/runTest.tsx";
import type { Entry } from "./entry.ts";
import type { Io } from "./io.ts";
import type { PlainTest } from "./testOutput.ts";
import type { Voice } from "./voice.ts";

interface Places {
  io: Pick<Io, "err">;
  /** `null`: lines. */
  screen: TestScreenHandle | null;
  plain: PlainTest;
  voice: Voice;
  entry: Entry;
}

/** The turn that tells the verdict. */
export const isVerdict = (turn: Turn): boolean => turn.code === "verdict";

/** Tells a running test where it is looked at: on the screen or in lines, and aloud. */
export class TestTeller {
  readonly #places: Places;
  #shown: LiveView | null = null;

  constructor(places: Places) {
    this.#places = places;
  }

  /** What happened, without the verdict: that is told only when its end is on disk. */
  update(update: Update): void {
    const { screen, plain, voice, entry } = this.#places;
    const view = { ...update.judge.view(update.event.at_ms), verdict: null };
    this.#shown = view;
    entry.expects = view.water?.expects ?? null;
    const turns = update.turns.filter((turn) => !isVerdict(turn));
    voice.turns(turns);
    if (screen === null) plain.update(view, turns);
    else screen.update(view, turns, pointsOf(update));
  }

  /** The archive cannot be written at this moment. */
  trouble(error: unknown): void {
    const { io, screen } = this.#places;
    const why = error instanceof Error ? error.message : String(error);
    const text = `Not on disk: ${plainText(why, 300)} Readings are kept in memory and written as soon as it can be.`;
    const shown = this.#shown;
    if (screen === null) io.err(`staunch: ${text}`);
    else if (shown !== null) screen.update(shown, [{ at_s: shown.at_s, code: "archive-trouble", text, bell: "alarm" }], []);
  }

  /** The verdict as it fell, once its end is on disk. */
  kept(last: Update): Verdict {
    const { screen, plain, voice } = this.#places;
    const said = last.turns.filter(isVerdict);
    voice.turns(said);
    if (screen === null) plain.update(last.judge.view(last.event.at_ms), said);
    const { verdict } = last.judge;
    if (verdict === null) throw new Error("a session ended without a verdict");
    return verdict;
  }
}

/** What is added to the curve. */
const pointsOf = (update: Update): { at_s: number; pressure_Pa: number }[] =>
  readingsSeen(update).flatMap(({ at_ms, pressure_Pa }) =>
    pressure_Pa === null ? [] : [{ at_s: update.judge.seconds(at_ms), pressure_Pa }],
  );
