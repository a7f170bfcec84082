import type { LiveView, Turn } from "../core/judging/view.ts";
import { displayUnit } from "../core/methods/displayUnit.ts";
import type { RecordStart, Verdict } from "../core/record.ts";
import { plainJson, plainText } from "../core/text.ts";
import { sourceWord, tickDue, tickLine, turnLine, verdictLines } from "../terminal/plain.ts";
import type { Io } from "./io.ts";

/** How a running test is shown without a screen: plain lines, and events for programs. */
export class PlainTest {
  readonly #say: (text: string) => void;
  readonly #data: ((value: object) => void) | null;
  readonly #start: RecordStart;
  readonly #unit: string;
  #ticked_s = 0;

  /** `whatIf`: what is other than it was recorded; then no line and no event can be taken for the record's own. */
  constructor(io: Io, start: RecordStart, wants: { json: boolean; events: boolean; whatIf?: readonly string[] }) {
    const { json, events, whatIf = [] } = wants;
    const head = whatIf.length === 0 ? "" : "what if: ";
    this.#say = json || events ? (text) => io.err(head + text) : (text) => io.out(head + text);
    const marked = (value: object): object => (whatIf.length === 0 ? value : { ...value, what_if: whatIf });
    this.#data = events ? (value) => io.out(plainJson(marked(value))) : null;
    this.#start = start;
    this.#unit = displayUnit(start.limits);
  }

  opening(cautions: readonly string[]): void {
    const { section, stage, limits, source } = this.#start;
    const word = sourceWord(source);
    if (word !== null) this.#say(`${word}: proves no section.`);
    this.#say(`Section ${plainText(section.id)}, ${plainText(stage)}: ${plainText(limits.method.title)}.`);
    for (const caution of cautions) this.#say(`  ! ${plainText(caution, 400)}`);
    this.#data?.({ event: "start", record: this.#start });
  }

  update(view: LiveView, turns: readonly Turn[]): void {
    for (const turn of turns) {
      this.#say(turnLine(turn));
      this.#data?.({ event: "turn", at_s: turn.at_s, code: turn.code, text: turn.text });
    }
    if (!tickDue(this.#ticked_s, view.at_s)) return;
    this.#ticked_s = view.at_s;
    this.#say(tickLine(view, this.#unit, this.#start.limits.permittedDrop_Pa));
    this.#data?.({ event: "tick", at_s: view.at_s, phase: view.phase, pressure_Pa: view.pressure_Pa, time_left_s: view.timeLeft_s });
  }

  verdict(verdict: Verdict): void {
    for (const line of verdictLines(verdict, this.#unit)) this.#say(line);
    const { accuracy_fraction, accuracy_Pa } = this.#start.gauge;
    if (accuracy_fraction === null && accuracy_Pa === null && verdict.water === undefined)
      this.#say("gauge: its accuracy was not told (--accuracy), so the figure after ± holds its steps, noise and timing only");
    this.#say(`record: ${plainText(verdict.record ?? "none", 60)}`);
    this.#data?.({ event: "verdict", verdict });
  }
}
