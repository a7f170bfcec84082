import { goTo, newPlayer, type Player, tick } from "../../core/replay/player.ts";
import type { ReplayKey } from "../parts/replayKeys.ts";
import { sizeOf } from "../parts/size.ts";
import { type Asked, askingFor, type JudgingEvent, judgedAnew, showing, shown } from "./replayAsked.ts";
import { tapeTime } from "./replayBar.ts";
import { movedBy, secondsOf } from "./replayMoves.ts";
import { pictureOf, type ReplayFacts, type ReplayPicture } from "./replayPicture.ts";

/** All the replay screen draws. */
export interface ReplayState {
  recorded: ReplayPicture;
  /** `null`: nothing else is asked for. */
  whatIf: ReplayPicture | null;
  showsWhatIf: boolean;
  /** How `whatIf` is judged, or `recorded` without one. */
  asked: Asked;
  /** What it is being judged by again at this moment; `null`: it is not. */
  asking: Asked | null;
  /** Spikes are taken out of such a test. */
  filters: boolean;
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
  help: boolean;
  /** Pages of the crew's text turned by hand, and of the figures. */
  turned: number;
  figuresTurned: number;
}

export type ReplayEvent =
  | { kind: "size"; columns: number | undefined; rows: number | undefined }
  | { kind: "tick"; real_ms: number }
  | JudgingEvent
  | { kind: "key"; key: ReplayKey; real_ms: number };

export interface ReplayScreenFacts {
  recorded: ReplayFacts;
  whatIf: ReplayFacts | null;
  asked: Asked;
  filters: boolean;
  speed: number;
  columns?: number | undefined;
  rows?: number | undefined;
  colour: boolean;
}

/** Standing at the start. A tall terminal shows the figures beside from the beginning. */
export function firstReplay(facts: ReplayScreenFacts): ReplayState {
  const size = sizeOf(facts.columns, facts.rows);
  return {
    recorded: pictureOf(facts.recorded),
    whatIf: facts.whatIf === null ? null : pictureOf(facts.whatIf),
    showsWhatIf: facts.whatIf !== null,
    asked: facts.asked,
    asking: null,
    filters: facts.filters,
    player: newPlayer((facts.whatIf ?? facts.recorded).film, facts.speed),
    ...size,
    colour: facts.colour,
    typed: null,
    notice: alteredWords(facts.recorded),
    bytes: size.rows >= TALL_ROWS,
    figures: size.rows >= TALL_ROWS,
    help: false,
    turned: 0,
    figuresTurned: 0,
  };
}

/** Stands until the first key, for what is played may then be anything. */
const alteredWords = ({ seal }: ReplayFacts): string | null => (seal === null || seal.what === "" ? null : `ALTERED: ${seal.what}.`);

const TALL_ROWS = 40;

const LONGEST_TIME = 11;

function typing(state: ReplayState, typed: string, key: ReplayKey, real_ms: number): ReplayState {
  if (key === "escape") return { ...state, typed: null };
  if (key === "erase") return { ...state, typed: typed.slice(0, -1) };
  if (key.startsWith("type ")) return { ...state, typed: `${typed}${key.slice("type ".length)}`.slice(0, LONGEST_TIME) };
  if (key !== "enter") return state;
  const at_s = secondsOf(typed);
  if (at_s === null) return { ...state, typed: null, notice: typed === "" ? null : `${typed} is no time: type 90, 1:30 or 1:02:03.` };
  return { ...state, typed: null, player: goTo(shown(state).film, state.player, at_s, real_ms) };
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
  if (state.help) return key === "help" || key === "escape" ? { ...state, help: false } : pressed({ ...state, help: false }, key, real_ms);
  if (state.typed !== null) return typing(state, state.typed, key, real_ms);
  const fresh = { ...state, notice: null };
  const player = movedBy(shown(state).film, state.player, key, real_ms);
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
        ? { ...fresh, notice: "Nothing else was asked for: r takes the other rule, u leaves spikes in." }
        : showing(fresh, !state.showsWhatIf);
    case "rule":
    case "unfiltered":
      return askingFor(fresh, key);
    case "help":
      return { ...fresh, help: true };
    case "ended":
      return { ...fresh, notice: endedWords(state) };
    case "page":
      return { ...fresh, turned: state.turned + 1, figuresTurned: state.figuresTurned + 1 };
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
      return { ...state, player: tick(shown(state).film, state.player, event.real_ms) };
    case "judging":
    case "judged":
    case "not-judged":
      return judgedAnew(state, event);
    case "key": {
      const now = { ...state, player: tick(shown(state).film, state.player, event.real_ms) };
      return pressed(now, event.key, event.real_ms);
    }
  }
}
