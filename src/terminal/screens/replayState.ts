import type { Film } from "../../core/replay/film.ts";
import { goTo, newPlayer, type Player, tick } from "../../core/replay/player.ts";
import type { ReplayKey } from "../parts/replayKeys.ts";
import type { Trace } from "../parts/trace.ts";
import { traceIndex } from "../parts/traceIndex.ts";
import { tapeTime } from "./replayBar.ts";
import { movedBy, secondsOf } from "./replayMoves.ts";
import type { ReplayFacts, ReplayPicture } from "./replayPicture.ts";

/** All the replay screen draws. */
export interface ReplayState {
  recorded: ReplayPicture;
  /** `null`: nothing else is asked for. */
  whatIf: ReplayPicture | null;
  showsWhatIf: boolean;
  player: Player;
  columns: number;
  rows: number;
  colour: boolean;
  /** The time being typed; `null`: none is. */
  typed: string | null;
  /** Why the last key did nothing. */
  notice: string | null;
  bytes: boolean;
  figures: boolean;
  /** Pages of the crew's text turned by hand. */
  turned: number;
}

export type ReplayEvent =
  | { kind: "size"; columns: number | undefined; rows: number | undefined }
  | { kind: "tick"; real_ms: number }
  | { kind: "key"; key: ReplayKey; real_ms: number };

export interface ReplayScreenFacts {
  recorded: ReplayFacts;
  whatIf: ReplayFacts | null;
  speed: number;
  columns?: number | undefined;
  rows?: number | undefined;
  colour: boolean;
}

const sizeOf = (columns: number | undefined, rows: number | undefined) => ({ columns: columns || 80, rows: rows || 24 });

const pictureOf = (facts: ReplayFacts): ReplayPicture => ({ ...facts, traceAt: lazily(facts.film) });

/** The curve is gathered when it is first drawn. */
function lazily(film: Film): (count: number) => Trace {
  let made: ((count: number) => Trace) | null = null;
  return (count) => {
    made ??= traceIndex(film.readings);
    return made(count);
  };
}

/** Standing at the start. A tall terminal shows the figures beside from the beginning. */
export function firstReplay(facts: ReplayScreenFacts): ReplayState {
  const size = sizeOf(facts.columns, facts.rows);
  return {
    recorded: pictureOf(facts.recorded),
    whatIf: facts.whatIf === null ? null : pictureOf(facts.whatIf),
    showsWhatIf: facts.whatIf !== null,
    player: newPlayer(facts.recorded.film, facts.speed),
    ...size,
    colour: facts.colour,
    typed: null,
    notice: null,
    bytes: size.rows >= TALL_ROWS,
    figures: size.rows >= TALL_ROWS,
    turned: 0,
  };
}

const TALL_ROWS = 40;

/** What is being looked at: as recorded, or under the other rules. */
export const shown = (state: ReplayState): ReplayPicture => (state.showsWhatIf ? (state.whatIf ?? state.recorded) : state.recorded);

const LONGEST_TIME = 11;

function typing(state: ReplayState, typed: string, key: ReplayKey, real_ms: number): ReplayState {
  if (key === "escape") return { ...state, typed: null };
  if (key === "erase") return { ...state, typed: typed.slice(0, -1) };
  if (key.startsWith("type ")) return { ...state, typed: `${typed}${key.slice("type ".length)}`.slice(0, LONGEST_TIME) };
  if (key !== "enter") return state;
  const at_s = secondsOf(typed);
  if (at_s === null) return { ...state, typed: null, notice: typed === "" ? null : `${typed} is no time: type 90, 1:30 or 1:02:03.` };
  return { ...state, typed: null, player: goTo(state.recorded.film, state.player, at_s, real_ms) };
}

/** The verdict as it would be, had somebody stopped the test where one stands. */
function endedWords(state: ReplayState): string {
  const { film, endedAt } = shown(state);
  const place = tapeTime(film, state.player.at_ms);
  const verdict = endedAt(state.player.index);
  if (verdict === null) return `${place} is too far in to work the verdict out at once.`;
  const reasons = verdict.reasons.map(({ code }) => code).join(", ");
  return `Stopped at ${place} it would be ${verdict.verdict.toUpperCase()}${reasons === "" ? "." : `: ${reasons}.`}`;
}

function pressed(state: ReplayState, key: ReplayKey, real_ms: number): ReplayState {
  if (state.typed !== null) return typing(state, state.typed, key, real_ms);
  const fresh = { ...state, notice: null };
  const player = movedBy(state, key, real_ms);
  if (player !== null) return { ...fresh, player, turned: player.index === state.player.index ? state.turned : 0 };
  switch (key) {
    case "go":
      return { ...fresh, typed: "" };
    case "bytes":
      return { ...fresh, bytes: !state.bytes };
    case "figures":
      return { ...fresh, figures: !state.figures };
    case "what-if":
      return state.whatIf === null
        ? { ...fresh, notice: "Nothing else was asked for: see staunch replay --help." }
        : { ...fresh, showsWhatIf: !state.showsWhatIf };
    case "ended":
      return { ...fresh, notice: endedWords(state) };
    case "page":
      return { ...fresh, turned: state.turned + 1 };
    default:
      return fresh;
  }
}

/** The screen's next state. Closing is for whoever runs it. */
export function nextReplay(state: ReplayState, event: ReplayEvent): ReplayState {
  switch (event.kind) {
    case "size":
      return { ...state, ...sizeOf(event.columns, event.rows) };
    case "tick":
      return { ...state, player: tick(state.recorded.film, state.player, event.real_ms) };
    case "key": {
      const now = { ...state, player: tick(state.recorded.film, state.player, event.real_ms) };
      return pressed(now, event.key, event.real_ms);
    }
  }
}
