import { EXIT, usageError } from "../core/errors.ts";
import { counted, plainJson, plainText } from "../core/text.ts";
import { type Handover, handOver } from "../storage/handover.ts";
import { type Archive, openArchive } from "../storage/open.ts";
import { findRecord, listRecords, type RecordFilter } from "../storage/records.ts";
import type { Command } from "./command.ts";
import { countedSaid } from "./saidWords.ts";
import { sinceFrom } from "./since.ts";
import { sizeText } from "./sizeText.ts";
import { commandLine, readWords } from "./words.ts";

export interface HandoverOptions {
  records: string[];
  output?: string;
  section?: string;
  since?: string;
  force?: boolean;
  json?: boolean;
}

function parse(words: readonly string[], io: Parameters<Command["parse"]>[1]): HandoverOptions | null {
  const line = commandLine(
    "handover",
    "Cuts records out into an archive of its own, with their seals, reviews, second signatures and gauges. It opens anywhere, also where nothing can be written.",
    ["staunch handover last -o mill-lane.staunch", "staunch handover all --section S12 --since 7d -o s12.staunch"],
  );
  let chosen: HandoverOptions | null = null;
  line
    .argument("[records...]", 'ids, pieces of ids that fit no other, "last", or "all"')
    .option("-o, --output <file>", "the file to make; never one that is there")
    .option("--section <id>", "of these only those of this section")
    .option("--since <when>", "of these only those started since: 2026-03-01, 2026-03-01T08:00, 7d or 12h ago")
    .option("--force", "replace a file that is there")
    .option("--json", "one JSON object")
    .action((records: string[], options: Omit<HandoverOptions, "records">) => {
      chosen = { records, ...options };
    });
  return readWords(line, words, io) ? chosen : null;
}

/** Ids of the records that are meant, oldest first, each once. */
function chosenIds(archive: Archive, words: readonly string[], filter: RecordFilter): string[] {
  const fitting = listRecords(archive, filter)
    .map(({ id }) => id)
    .reverse();
  if (words.length === 0 || words.includes("all")) return fitting;
  const named = new Set(words.map((word) => findRecord(archive, word).start.id));
  return fitting.filter((id) => named.has(id));
}

function filterFrom({ section, since }: HandoverOptions, now_ms: number): RecordFilter {
  return {
    ...(section === undefined ? {} : { section }),
    ...(since === undefined ? {} : { since_wall_ms: sinceFrom(since, now_ms) }),
  };
}

function told(done: Handover, path: string): { out: string; notes: string[] } {
  const { records, besides, unsealed, altered, bytes } = done;
  const beside = besides === 0 ? "" : ` with ${countedSaid(besides)}`;
  const ids = (list: readonly { id: string }[]): string =>
    `${list
      .slice(0, 5)
      .map(({ id }) => plainText(id, 40))
      .join(", ")}${list.length > 5 ? ", …" : ""}`;
  const open = unsealed.filter((one) => one.open);
  const notes = [
    ...(unsealed.length === 0
      ? []
      : [
          `${counted(unsealed.length, "record carries no seal and proves nothing by itself", "records carry no seal and prove nothing by themselves")}: ${ids(unsealed)}.`,
        ]),
    ...(open.length === 0
      ? []
      : [
          `${counted(open.length, "of them has", "of them have")} no end yet; merge will not take ${open.length === 1 ? "it" : "them"}: ${ids(open)}.`,
        ]),
    ...altered
      .slice(0, 20)
      .map(({ id, what }) => `${plainText(id, 40)} is ALTERED and was handed over as it lies: ${plainText(what, 200)}.`),
  ];
  return { out: `${counted(records, "record")}${beside} handed over in ${plainText(path, 300)} (${sizeText(bytes)}).`, notes };
}

export const handover: Command<HandoverOptions> = {
  parse,
  async run(options, { io, archive: path }) {
    const { records, output, force = false, json = false } = options;
    const filter = filterFrom(options, io.clock.wall_ms());
    if (records.length === 0 && Object.keys(filter).length === 0)
      throw usageError("records-missing", "No record was named.", 'Name records by id, "last" or "all", or give --section or --since.');
    if (output === undefined || output === "") throw usageError("output-missing", "There is no file to hand over in.", "Name one: -o FILE");
    const archive = openArchive(path, { mode: "read" });
    try {
      const ids = chosenIds(archive, records, filter);
      if (ids.length === 0) throw usageError("records-none", `No record fits in ${path}.`, "See what there is: staunch records list");
      const done = handOver(archive, ids, output, force);
      const { out, notes } = told(done, output);
      if (json) io.out(plainJson({ schema: "staunch/handover/1", file: output, ...done }));
      else io.out(out);
      for (const note of notes) io.err(`staunch: ${note}`);
      return done.altered.length > 0 ? EXIT.fail : EXIT.pass;
    } finally {
      archive.close();
    }
  },
};
