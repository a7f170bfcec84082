import { EXIT, type ExitCode, usageError } from "../core/errors.ts";
import { plainJson } from "../core/text.ts";
import { isAllHere, rescue } from "../storage/rescue.ts";
import type { Context } from "./command.ts";
import { rescuedLines } from "./rescueWords.ts";
import { keyOrNone, publicKeyIn } from "./trust.ts";

/** Words after `records rescue`. */
export interface RescueWords {
  file: string;
  output?: string;
  trust?: string[];
  takeAltered?: boolean;
}

/** 0 when nothing is known to be missing, 1 when something was lost, altered or cannot be told; 65 when there was nothing to read. */
export async function rescueRecords(words: RescueWords & { json: boolean }, { io, key: place }: Context): Promise<ExitCode> {
  const { file, output, trust = [], takeAltered = false, json } = words;
  if (output === undefined || output === "")
    throw usageError("output-missing", "There is no file to put the rescued records in.", "Name one: -o NEW");
  const own = keyOrNone(place, io);
  const keys = own === null ? [] : [own.publicDer];
  for (const path of trust) keys.push(await publicKeyIn(path, io));
  const done = rescue(file, output, { keys, takeAltered, wall_ms: io.clock.wall_ms() });
  const isWhole = isAllHere(done);
  if (json) io.out(plainJson({ schema: "staunch/rescued/1", file, output, whole: isWhole, ...done }));
  else for (const line of rescuedLines(file, output, done, isWhole)) io.out(line);
  return isWhole ? EXIT.pass : EXIT.fail;
}
