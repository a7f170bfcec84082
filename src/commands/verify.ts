import { existsSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { EXIT, type ExitCode, isStaunchError, usageError } from "../core/errors.ts";
import { plainJson, plainText } from "../core/text.ts";
import type { Counter } from "../evidence/attempts.ts";
import { shortSeal } from "../evidence/seal.ts";
import { countersign } from "../storage/countersign.ts";
import { findKey, type MachineKey, openKey } from "../storage/key.ts";
import { type Archive, openArchive } from "../storage/open.ts";
import { openGiven } from "../storage/openGiven.ts";
import { findId, findRecord } from "../storage/records.ts";
import { pendingAttempts } from "../storage/sealRecord.ts";
import type { Command, Context } from "./command.ts";
import { dayEnd, dayEndLines } from "./dayEnd.ts";
import { keyOrNone, pemOf, publicText, trustedKeys } from "./trust.ts";
import { verifyArchive } from "./verifyArchive.ts";
import { exitOf, verifyLines } from "./verifyWords.ts";
import { commandLine, each, readWords } from "./words.ts";

/** Words as they were given; they are read when the command runs. */
export interface VerifyOptions {
  words: string[];
  trust?: string[];
  deep?: boolean;
  key?: boolean;
  day?: boolean;
  countersign?: string;
  by?: string;
  keyfile?: string;
  json?: boolean;
}

function parse(words: readonly string[], io: Parameters<Command["parse"]>[1]): VerifyOptions | null {
  const line = commandLine(
    "verify",
    "Looks whether records are as they were sealed, and by a key that is trusted: this machine's own and those named with --trust. " +
      "It cannot see a tail cut off the chain, nor what the owner of a key forges with it: for that a witness keeps the day-end code.",
    [
      "staunch verify",
      'staunch verify handover.staunch --trust "5a0c 91f3 77d2 e08b 4c16 a9e5 03bd 2f68" --deep',
      "staunch verify --day",
      'staunch verify --countersign last --by "W. Witness"',
    ],
  );
  let chosen: VerifyOptions | null = null;
  line
    .argument("[file]", "an archive or handover; left out: --archive")
    .argument("[record]", "only this record")
    .option("--trust <key>", "a fingerprint or a file with a public key; may be given again", each)
    .option("--deep", "judge each journal again and compare the verdict")
    .option("--key", "show this machine's public key and its fingerprint; made now when there is none")
    .option("--day", "the day-end code, for a witness to write down")
    .option("--countersign <record>", "add a second signature to a sealed record")
    .option("--by <name>", "who signs")
    .option("--keyfile <path>", "sign with the private key in this file instead of this machine's")
    .option("--json", "one JSON object")
    .action((file: string | undefined, record: string | undefined, options: Omit<VerifyOptions, "words">) => {
      chosen = { words: [file, record].filter((word) => word !== undefined), ...options };
    });
  return readWords(line, words, io) ? chosen : null;
}

/** One word alone is a file when there is one, or looks like one: ids of records hold neither dot nor slash. */
function placesFrom(words: readonly string[], archive: string): { path: string; record: string | null } {
  const [first, second] = words;
  if (first === undefined) return { path: archive, record: null };
  if (second !== undefined) return { path: first, record: second };
  return /[./\\]/.test(first) || existsSync(first) ? { path: first, record: null } : { path: archive, record: first };
}

function showKey(place: string | undefined, json: boolean, { io }: Context): ExitCode {
  if (place === undefined) throw usageError("key-nowhere", "There is no place for a key.", "Name one with STAUNCH_KEY.");
  const key = openKey(place);
  if (key.isOpen) io.err(`staunch: others on this machine can read ${plainText(key.path, 300)}; make it private (chmod 600).`);
  const { fingerprint, publicDer } = key;
  io.out(
    json ? plainJson({ schema: "staunch/key/1", fingerprint, public_pem: pemOf(publicDer), attempts: key.attempts() }) : publicText(key),
  );
  return EXIT.pass;
}

function sign(path: string, options: VerifyOptions, { io, key: place }: Context): ExitCode {
  if (options.by === undefined || plainText(options.by) === "")
    throw usageError("by-missing", "A second signature needs a name.", 'Say who signs: --by "W. Witness".');
  const signer = signerFrom(options.keyfile, place);
  const archive = openArchive(path, { mode: "write" });
  try {
    const { start } = findRecord(archive, options.countersign ?? "");
    const by = plainText(options.by, 80);
    const { number, seal } = countersign(archive, signer, { record: start.id, by, wall_ms: io.clock.wall_ms() });
    const code = shortSeal(seal);
    if (options.json) io.out(plainJson({ schema: "staunch/countersigned/1", record: start.id, by, key: signer.fingerprint, number, code }));
    else io.out(`Signed: record ${plainText(start.id, 40)} by ${by}, key ${signer.fingerprint}; number ${number}, code ${code}.`);
    return EXIT.pass;
  } finally {
    archive.close();
  }
}

function signerFrom(keyfile: string | undefined, place: string | undefined): MachineKey {
  const path = keyfile ?? place;
  const found = path === undefined ? null : findKey(path);
  if (found !== null) return found;
  throw usageError(
    "key-missing",
    `There is no key ${path === undefined ? "" : `at ${JSON.stringify(plainText(path, 200))} `}to sign with.`,
    "Make one: STAUNCH_KEY=FILE staunch verify --key",
  );
}

type Trust = { trusted: ReadonlySet<string>; own: MachineKey | null };

function look(archive: Archive, options: VerifyOptions, record: string | null, { trusted, own }: Trust, { io }: Context): ExitCode {
  const subject = record === null ? null : findId(archive, record);
  const counter = own === null ? null : counterOf(archive, own, io);
  const report = verifyArchive(archive, { trusted, subject, deep: options.deep === true, counter });
  const exit = exitOf(report);
  if (options.json) io.out(plainJson(report));
  else for (const line of verifyLines(report)) io.out(line);
  return exit;
}

/** A counter that cannot be read keeps nobody from looking at seals. */
function counterOf(archive: Archive, own: MachineKey, io: Context["io"]): Counter | null {
  try {
    const attempts = own.attempts();
    return { key: own.fingerprint, attempts, pending: pendingAttempts(archive, own.fingerprint) };
  } catch (error) {
    if (!isStaunchError(error)) throw error;
    io.err(`staunch: ${plainText(error.message, 500)}`);
    return null;
  }
}

export const verify: Command<VerifyOptions> = {
  parse,
  async run(options, context) {
    const { io } = context;
    if (options.key) return showKey(context.key, options.json === true, context);
    const { path, record } = placesFrom(options.words, context.archive);
    if (options.countersign !== undefined) return sign(path, options, context);
    const own = keyOrNone(context.key, io);
    const archive = openGiven(path, context.archive, join(tmpdir(), "staunch"));
    try {
      if (!options.day) return look(archive, options, record, { trusted: await trustedKeys(options.trust ?? [], own, io), own }, context);
      const day = dayEnd(archive, own, io.clock.wall_ms());
      io.out(options.json ? plainJson(day) : dayEndLines(day).join("\n"));
      return EXIT.pass;
    } finally {
      archive.close();
    }
  },
};
