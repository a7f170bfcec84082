import { EXIT, type ExitCode } from "../core/errors.ts";
import { counted, plainJson, plainText } from "../core/text.ts";
import type { Archive } from "../storage/open.ts";
import { listRecords, type RecordFilter, type RecordLine } from "../storage/records.ts";
import { recordStanding } from "../storage/standings.ts";
import type { Context } from "./command.ts";
import { isoTime } from "./days.ts";
import { type Holder, holderOf, unfinished } from "./recordHolder.ts";
import { type Held, listLines } from "./recordPage.ts";

/** Lines that are held against their seals; more would keep whoever asks waiting. */
export const HELD = 1000;

function heldLines(archive: Archive, filter: RecordFilter): (RecordLine & { held: Held })[] {
  return listRecords(archive, filter).map((line, at) => {
    const { standing } = at < HELD ? recordStanding(archive, line.id, false) : { standing: "" as const };
    return { ...line, held: standing === "unsealed" && line.verdict === null ? "" : standing };
  });
}

/** The text for stdout; `null` when there is nothing to list. */
function listText(lines: readonly (RecordLine & { held: Held })[], holder: Holder, json: boolean): string | null {
  if (!json) return lines.length === 0 ? null : listLines(lines, ({ id }) => unfinished(id, holder)).join("\n");
  const all = lines.map(({ number: _number, started_wall_ms, ended_wall_ms, held, verdict, ...rest }) => ({
    ...rest,
    verdict: held === "altered" ? null : verdict,
    state: held === "altered" ? held : verdict === null ? unfinished(rest.id, holder) : "ended",
    sealed: held === "" ? null : held !== "unsealed",
    started: isoTime(started_wall_ms),
    ended: isoTime(ended_wall_ms),
  }));
  return plainJson({ schema: "staunch/records/1", records: all });
}

/** Prints what fits, each line held against its seal. */
export function runList(archive: Archive, filter: RecordFilter, json: boolean, { io, archive: path }: Context): ExitCode {
  const lines = heldLines(archive, filter);
  const text = listText(lines, holderOf(archive), json);
  if (text !== null) io.out(text);
  else io.err(`No record ${Object.keys(filter).length === 0 ? "yet" : "fits"} in ${plainText(path, 300)}.`);
  for (const note of heldNotes(lines.filter(({ held }) => held === "altered").length, lines.length - HELD)) io.err(note);
  return EXIT.pass;
}

/** What is to be said beside a list: that some of it was altered, and that not all of it was looked at. */
export const heldNotes = (altered: number, unlooked: number): string[] => [
  ...(altered === 0 ? [] : [`${counted(altered, "record is", "records are")} not what was sealed: staunch verify`]),
  ...(unlooked <= 0
    ? []
    : [`${counted(unlooked, "record was not held against its seal", "records were not held against their seals")}: staunch verify`]),
];
