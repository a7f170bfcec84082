import { EXIT, type ExitCode } from "../core/errors.ts";
import { displayUnit } from "../core/methods/displayUnit.ts";
import type { Verdict } from "../core/record.ts";
import { plainJson, plainText } from "../core/text.ts";
import { compareVerdicts } from "../core/verdictDifferences.ts";
import { pressureScale } from "../terminal/figures.ts";
import { figureLines } from "../terminal/verdictFigures.ts";
import type { Io } from "./io.ts";
import { exitOf } from "./judge.ts";
import type { Played } from "./replaySource.ts";

/** What is other than it was recorded, in one line; `null`: nothing. */
const whatIfWords = ({ changes }: Pick<Played, "changes">): string | null =>
  changes.length === 0 ? null : changes.map((one) => plainText(one, 80)).join(", ");

/** The one object of `--json`: the verdict; under other rules one that cannot be taken for the record's. */
export function verdictJson({ changes, before, seal, start }: Played, verdict: Verdict): string {
  if (changes.length === 0) return plainJson(verdict);
  return plainJson({
    schema: "staunch/what-if/1",
    what_if: changes,
    record: start.id === "" ? null : start.id,
    seal: seal?.standing ?? null,
    recorded: before,
    judged: verdict,
  });
}

interface Saying {
  io: Pick<Io, "err">;
  say(text: string): void;
  /** All figures were on a screen already. */
  seen: boolean;
}

/** Figure beside figure, and in one sentence whether the verdict came out as recorded; the exit code is 1 when it did not. */
export function compared(played: Played, verdict: Verdict, { io, say, seen }: Saying): ExitCode {
  const { before, seal } = played;
  const whatIf = whatIfWords(played);
  if (before !== null) {
    const scale = pressureScale(displayUnit(played.start.limits), verdict.hold.permitted_Pa);
    const told = { scale, name: whatIf === null ? "now" : "what if", onlyApart: seen };
    for (const line of figureLines(before, verdict, told)) say(line);
  }
  const exit = whatIf === null ? asRecorded(before, verdict, io, say) : exitOf(verdict.verdict);
  if (whatIf !== null) {
    const was = before === null ? "there is no recorded verdict" : `the recorded verdict is ${before.verdict.toUpperCase()}`;
    say(`what if: ${whatIf}; ${was}, and nothing was changed`);
  }
  if (seal?.standing !== "altered") return exit;
  io.err(`staunch: the record is not as it was sealed: ${seal.what}.`);
  return EXIT.fail;
}

function asRecorded(before: Verdict | null, verdict: Verdict, io: Pick<Io, "err">, say: (text: string) => void): ExitCode {
  if (before === null) {
    say("replay: there is no recorded verdict to compare with");
    return exitOf(verdict.verdict);
  }
  const { same, parted } = compareVerdicts(before, verdict);
  const [was, is] = [before.judge_version, verdict.judge_version];
  if (same !== null)
    say(`replay: the verdict is the recorded one, ${same}${was === is ? "" : ` (judge ${was} recorded it, judge ${is} judged it now)`}`);
  else if (was !== is) io.err(`staunch: judged differently now (judge ${is}, recorded by ${was}): ${spoken(parted)}.`);
  else {
    io.err(`staunch: the verdict is not the recorded one: ${spoken(parted)}.`);
    return EXIT.fail;
  }
  return exitOf(verdict.verdict);
}

const spoken = (parted: readonly string[]): string => parted.map((one) => plainText(one, 200)).join("; ");
