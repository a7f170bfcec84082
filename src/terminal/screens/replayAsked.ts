import type { Rule } from "../../core/record.ts";
import { plainText } from "../../core/text.ts";
import { pictureOf, type ReplayFacts, type ReplayPicture } from "./replayPicture.ts";
import type { ReplayState } from "./replayState.ts";

/** What can be chosen on the screen. */
export interface Asked {
  rule: Rule;
  unfiltered: boolean;
}

/** Judging again has come so far, is done (`null`: that is as recorded), or cannot be done. */
export type JudgingEvent =
  | { kind: "judging"; share: number }
  | { kind: "judged"; facts: ReplayFacts | null }
  | { kind: "not-judged"; why: string };

/** What is being looked at: as recorded, or under the other rules. */
export const shown = (state: Pick<ReplayState, "recorded" | "whatIf" | "showsWhatIf">): ReplayPicture =>
  state.showsWhatIf ? (state.whatIf ?? state.recorded) : state.recorded;

/** The other picture at the same time. A CSV under other rules may end elsewhere, so its events are not the same. */
export function showing(state: ReplayState, showsWhatIf: boolean): ReplayState {
  const turned = { ...state, showsWhatIf };
  const [before, { film }] = [shown(state).film, shown(turned)];
  const { player } = state;
  if (film.length === before.length) return turned;
  const at_ms = Math.min(player.at_ms, film.to_ms);
  const atEnd = player.index === before.length - 1;
  return { ...turned, player: { ...player, at_ms, index: atEnd && at_ms === film.to_ms ? film.length - 1 : film.tape.indexAt(at_ms) } };
}

/** Judging again begins, under the other rule or with the filter the other way; one at a time. */
export function askingFor(state: ReplayState, key: "rule" | "unfiltered"): ReplayState {
  if (state.asking !== null) return state;
  if (key === "unfiltered" && !state.filters) return { ...state, notice: "Only an air test with a gauge is filtered." };
  const { rule, unfiltered } = state.asked;
  const asking: Asked = key === "rule" ? { rule: rule === "simple" ? "guarded" : "simple", unfiltered } : { rule, unfiltered: !unfiltered };
  return { ...state, asking, notice: "Judging it again …" };
}

/** What comes back from judging again; the picture asked for is then shown. */
export function judgedAnew(state: ReplayState, event: JudgingEvent): ReplayState {
  switch (event.kind) {
    case "judging":
      return { ...state, notice: `Judging it again … ${Math.floor(100 * Math.min(1, event.share))} %` };
    case "not-judged":
      return { ...state, asking: null, notice: `It cannot be judged so: ${plainText(event.why)}` };
    case "judged": {
      // From what is looked at by way of the recorded film, which stays.
      const home = showing(state, false);
      const whatIf = event.facts === null ? null : pictureOf(event.facts);
      const answered = { ...home, whatIf, asked: state.asking ?? state.asked, asking: null, notice: null };
      return whatIf === null ? answered : showing(answered, true);
    }
  }
}
