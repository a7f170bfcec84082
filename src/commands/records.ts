import { EXIT, usageError } from "../core/errors.ts";
import { type RecordStart, VERDICT_WORDS } from "../core/record.ts";
import { plainJson, plainText } from "../core/text.ts";
import { type KitCheck, kitChecksOfDay } from "../storage/gaugeLogs.ts";
import { markOf } from "../storage/marks.ts";
import { type Archive, openArchive } from "../storage/open.ts";
import { recordHeadOf } from "../storage/recordHead.ts";
import { type FoundRecord, findRecord, overridersOf, type RecordFilter } from "../storage/records.ts";
import { sealedKitChecks } from "../storage/sealedChecks.ts";
import type { SealedHead } from "../storage/sealHead.ts";
import { recordStanding } from "../storage/standings.ts";
import { dayOf } from "../terminal/wall.ts";
import { clockLines, sealedClock } from "./clockPage.ts";
import type { Command } from "./command.ts";
import { kitCheckLines } from "./gaugePages.ts";
import { withLookAlikes } from "./lookAlikes.ts";
import { holderOf, unfinished } from "./recordHolder.ts";
import { runList } from "./recordList.ts";
import { overriderLines, recordLines } from "./recordPage.ts";
import type { RescueWords } from "./rescue.ts";
import { besideRecord } from "./reviewBeside.ts";
import { sinceFrom } from "./since.ts";
import { commandLine, each, readWords } from "./words.ts";

/** Words as they were given; they are read when the command runs. */
export type RecordsOptions = { json: boolean } & (
  | { ask: "list"; filter: FilterWords }
  | { ask: "show"; id: string }
  | ({ ask: "rescue" } & RescueWords)
);

export interface FilterWords {
  section?: string;
  stage?: string;
  method?: string;
  verdict?: string;
  since?: string;
}

function parse(words: readonly string[], io: Parameters<Command["parse"]>[1]): RecordsOptions | null {
  const line = commandLine("records", "List and show the records of an archive; rescue those of a damaged one.", [
    "staunch records list --verdict fail --since 7d",
    "staunch records show last",
    "staunch records rescue damaged.staunch -o rescued.staunch",
  ]);
  let chosen: RecordsOptions | null = null;
  line
    .command("list")
    .description("one line a record, newest first")
    .option("--section <id>", "only this section")
    .option("--stage <name>", "only this stage: laid, covered, in-service, or your own")
    .option("--verdict <word>", "only pass, fail, inconclusive, void, or open (no verdict yet)")
    .option("--method <id>", "only tests by this method")
    .option("--since <when>", "only those started since: 2026-03-01, 2026-03-01T08:00, 7d or 12h ago")
    .option("--json", "one JSON object")
    .action(({ json, ...filter }: FilterWords & { json?: boolean }) => {
      chosen = { ask: "list", filter, json: json === true };
    });
  line
    .command("show <record>")
    .description('one record: an id, a piece of one that fits no other, or "last"')
    .option("--json", "one JSON object")
    .action((id: string, { json }: { json?: boolean }) => {
      chosen = { ask: "show", id, json: json === true };
    });
  line
    .command("rescue <file>")
    .description("make a new archive of all that can be read of a damaged one, which is only read")
    .addHelpText("after", "\nExample:\n  staunch records rescue damaged.staunch -o rescued.staunch")
    .option("-o, --output <new>", "the archive to make; never one that is there")
    .option("--trust <file>", "a file with a public key, should the archive's own be lost; may be given again", each)
    .option("--take-altered", "take what is not as it was sealed, or not whole, too, marked as such")
    .option("--json", "one JSON object")
    .action((file: string, { json, ...told }: Omit<RescueWords, "file"> & { json?: boolean }) => {
      chosen = { ask: "rescue", file, ...told, json: json === true };
    });
  return readWords(line, words, io) ? chosen : null;
}

const VERDICTS = [...VERDICT_WORDS, "open"] as const;

function filterFrom(words: FilterWords, now_ms: number): RecordFilter {
  const { section, stage, method } = words;
  const verdict = VERDICTS.find((known) => known === words.verdict?.toLowerCase());
  if (words.verdict !== undefined && verdict === undefined)
    throw usageError("verdict-unknown", `${JSON.stringify(words.verdict.slice(0, 40))} is no verdict.`, `Known: ${VERDICTS.join(", ")}.`);
  return {
    ...(section === undefined ? {} : { section }),
    ...(stage === undefined ? {} : { stage }),
    ...(method === undefined ? {} : { method }),
    ...(verdict === undefined ? {} : { verdict }),
    ...(words.since === undefined ? {} : { since_wall_ms: sinceFrom(words.since, now_ms) }),
  };
}

/** Kit checks of the gauge on that day: as they were sealed, or out of the gauge's file while there is no seal. */
function checksOf(archive: Archive, { gauge, started_wall_ms }: RecordStart, head: SealedHead | null): KitCheck[] {
  if (gauge.name === undefined) return [];
  return head === null ? kitChecksOfDay(archive, gauge.name, dayOf(started_wall_ms)) : sealedKitChecks(head);
}

/** `altered`: what of it is not what was sealed; `null`: nothing. */
function show(archive: Archive, found: FoundRecord, json: boolean, altered: string | null): string {
  const holder = holderOf(archive);
  const { start, end } = found;
  const open = unfinished(start.id, holder);
  const overriders = overridersOf(archive, start.id);
  const beside = besideRecord(archive, start.id);
  const head = recordHeadOf(archive, start.id);
  const checks = checksOf(archive, start, head);
  const mark = markOf(archive, start.id);
  if (!json) {
    if (altered !== null) return recordLines(found, open, altered).join("\n");
    const shown = end === null ? found : { ...found, end: { ...end, verdict: withLookAlikes(archive, end.verdict) } };
    const marked = mark === null ? [] : [`out of a damaged archive: ${plainText(mark, 300)}`];
    const after = [...marked, ...kitCheckLines(start, checks), ...clockLines(head), ...beside.lines];
    return [...recordLines(shown, open), ...overriderLines(overriders), ...after].join("\n");
  }
  const clock = altered === null ? sealedClock(head) : null;
  return plainJson({
    schema: "staunch/record/1",
    state: altered !== null ? "altered" : end === null ? open : "ended",
    ...(altered === null ? {} : { altered }),
    start,
    ended_wall_ms: end?.ended_wall_ms ?? null,
    verdict: altered !== null ? null : (end?.verdict ?? null),
    ...(clock === null ? {} : { clock }),
    ...(mark === null ? {} : { taken_although: mark }),
    ...beside.json,
    ...(start.gauge.name === undefined ? {} : { kit_checks: checks }),
    ...(overriders.length === 0 ? {} : { overridden_by: overriders.map((one) => ({ id: one.id, verdict: one.verdict })) }),
  });
}

export const records: Command<RecordsOptions> = {
  parse,
  async run(options, context) {
    const { io, archive: path } = context;
    if (options.ask === "rescue") return (await import("./rescue.ts")).rescueRecords(options, context);
    const filter = options.ask === "list" ? filterFrom(options.filter, io.clock.wall_ms()) : {};
    const archive = openArchive(path, { mode: "read" });
    try {
      if (options.ask === "list") return runList(archive, filter, options.json, context);
      const found = findRecord(archive, options.id);
      const standing = recordStanding(archive, found.start.id);
      const altered = standing.standing === "altered" ? standing.what : null;
      io.out(show(archive, found, options.json, altered));
      return altered === null ? EXIT.pass : EXIT.fail;
    } finally {
      archive.close();
    }
  },
};
