import { existsSync } from "node:fs";
import { EXIT, StaunchError, usageError } from "../core/errors.ts";
import { fitnessOf } from "../core/gauges/fitness.ts";
import { errorOf_Pa, factsOnFile } from "../core/gauges/sheet.ts";
import { usualDrift } from "../core/gauges/zeroHistory.ts";
import type { Limits } from "../core/methods/limits.ts";
import { nearest } from "../core/nearest.ts";
import type { GaugeFacts } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { zerosOf } from "../storage/gaugeLogs.ts";
import { findGauge, type GaugeOnFile, listGauges } from "../storage/gauges.ts";
import { type Archive, openArchive } from "../storage/open.ts";
import type { Context } from "./command.ts";
import type { GaugeWishes, ReadyGauge } from "./gauge.ts";
import { type DescribedGauge, describedAt, describedNames, readDescribed } from "./gaugeDescribed.ts";

/** A gauge on file, and how far its zero is known to wander in a test. */
export interface KnownGauge extends GaugeOnFile {
  zeroDrift_Pa: number | null;
}

/** Zeros of the last ten tests. */
const ZEROS = 20;
const isAddress = (word: string): boolean => word.includes("://");

/** Where gauges are known by name. */
type Places = Pick<Context, "archive" | "gaugesFolder">;

/** The gauge of this name. StaunchErrors (64): `gauge-described` when only a file describes it, `gauge-unknown` when nothing does. */
export function gaugeNamed(word: string, { archive: path, gaugesFolder }: Places): KnownGauge {
  const { found, names } = lookUp(word, path);
  if (found !== null) return found;
  const described = describedAt(word, gaugesFolder);
  if (described === null) throw unknown(word, names, describedNames(gaugesFolder));
  throw usageError(
    "gauge-described",
    `Gauge ${JSON.stringify(plainText(word, 60))} is described in ${JSON.stringify(plainText(described, 200))} only, and what is learnt of it could not be kept.`,
    `Put it on file under the same name: staunch gauges add ${plainText(word, 60)} "${readDescribed(word, described).url}"`,
  );
}

/** What a word stands for: an address, a gauge on file, or one described in a file. */
export interface AskedGauge {
  url: string;
  /** `null`: not on file. */
  known: KnownGauge | null;
  /** `null`: on file, or an address. */
  described: DescribedGauge | null;
}

/**
 * `--gauge WORD`. Of a gauge on file and one described in a file the one on file counts; `say` is told which was taken. StaunchErrors: `gauge-unknown`
 * (64), `gauge-toml` (65).
 */
export function askedGauge(word: string, { archive, gaugesFolder }: Places, say: (text: string) => void): AskedGauge {
  if (isAddress(word)) return { url: word, known: null, described: null };
  const { found, names } = lookUp(word, archive);
  const path = describedAt(word, gaugesFolder);
  if (found !== null) {
    if (path !== null)
      say(`staunch: gauge ${plainText(found.name, 60)} is taken as it is on file; ${plainText(path, 200)} of the same name is not read.`);
    return { url: found.sheet.url, known: found, described: null };
  }
  if (path === null) throw unknown(word, names, describedNames(gaugesFolder));
  const described = readDescribed(word, path);
  say(`staunch: gauge ${plainText(word, 60)} as described in ${plainText(path, 200)}: ${plainText(described.url, 200)}`);
  return { url: described.url, known: null, described };
}

function lookUp(word: string, archivePath: string): { found: KnownGauge | null; names: readonly string[] } {
  if (!existsSync(archivePath)) return { found: null, names: [] };
  const archive = openArchive(archivePath, { mode: "read" });
  try {
    return { found: knownIn(archive, word), names: listGauges(archive).map((gauge) => gauge.name) };
  } finally {
    archive.close();
  }
}

function knownIn(archive: Archive, name: string): KnownGauge | null {
  const found = findGauge(archive, name);
  return found === null ? null : { ...found, zeroDrift_Pa: usualDrift(zerosOf(archive, found.number, ZEROS)) };
}

/** A gauge on file in an archive that is open. A StaunchError `gauge-unknown` (64) when it is not. */
export function gaugeIn(archive: Archive, name: string): KnownGauge {
  const found = knownIn(archive, name);
  if (found !== null) return found;
  throw unknown(
    name,
    listGauges(archive).map((gauge) => gauge.name),
    [],
  );
}

function unknown(word: string, onFile: readonly string[], described: readonly string[]): StaunchError {
  const shown = [...new Set([...onFile, ...described])].map((name) => plainText(name, 40));
  const near = nearest(word, shown);
  const known = shown.length === 0 ? "None is on file yet" : `Known: ${shown.slice(0, 8).join(", ")}`;
  return usageError(
    "gauge-unknown",
    `There is no gauge ${JSON.stringify(plainText(word, 60))} on file.`,
    `${near === undefined ? "" : `Did you mean ${near}? `}${known}: staunch gauges add NAME URL; or give an address such as serial:///dev/ttyUSB0?protocol=line`,
  );
}

/** What the file tells a test, where the command line itself does not. */
export function wishesOnFile({ sheet }: GaugeOnFile, told: GaugeWishes): GaugeWishes {
  const isTold = told.accuracy_fraction !== null || told.accuracy_Pa !== null;
  return {
    ...told,
    url: sheet.url,
    resolution_Pa: told.resolution_Pa ?? sheet.resolution_Pa,
    accuracy_fraction: isTold ? told.accuracy_fraction : sheet.accuracy_fraction,
    accuracy_Pa: isTold ? told.accuracy_Pa : errorOf_Pa(sheet),
  };
}

/** The gauge made ready, with all of the file that belongs into a record. */
export function withFile(ready: ReadyGauge, { name, sheet, zeroDrift_Pa }: KnownGauge, reason: string | null): ReadyGauge {
  const facts: GaugeFacts = {
    ...ready.facts,
    // A protocol of absolute sensors says so itself; a plain line may carry either.
    reference: ready.driver.reference === "absolute" ? "absolute" : (sheet.reference ?? ready.facts.reference),
    ...factsOnFile(name, sheet),
    ...(reason === null ? {} : { outOfDateReason: reason }),
    ...(zeroDrift_Pa === null ? {} : { zeroDrift_Pa }),
  };
  return { ...ready, facts };
}

/**
 * Why a gauge out of date is used all the same; `null` when it is in date. StaunchErrors (64): `gauge-out-of-date` without a reason,
 * `gauge-reason` for an empty one.
 */
export function reasonFor({ name, sheet }: GaugeOnFile, word: string | undefined, today: string): string | null {
  const { calibrated, due } = sheet;
  if (due === null || calibrated === null || (calibrated <= today && today <= due)) return null;
  const reason = word === undefined ? null : plainText(word, 200);
  if (reason === "")
    throw usageError("gauge-reason", "--gauge-reason is empty.", "Say in a few words why this gauge is used all the same.");
  if (reason !== null) return reason;
  throw usageError(
    "gauge-out-of-date",
    `Gauge ${JSON.stringify(plainText(name, 40))} is out of date: calibrated ${calibrated}, due ${due}, today is ${today}.`,
    'Enter its new calibration (staunch gauges calibrate --help), or give --gauge-reason "why it is used all the same"; that stays on the record.',
  );
}

/** `--strict`: no gauge that is unfit for the method, and of a gauge on file none that is not shown to be fit. A StaunchError `gauge-unfit` (1). */
export function refuseUnfit(facts: GaugeFacts, limits: Limits, today: string): void {
  const points = fitnessOf(facts, limits, facts.outOfDateReason === undefined ? today : null);
  const unfit = points.find(({ fit }) => fit === false || (fit === null && facts.name !== undefined));
  if (unfit === undefined) return;
  throw new StaunchError({
    code: "gauge-unfit",
    message: `The gauge is not fit for this method: ${plainText(unfit.text, 300)}.`,
    hint: "Use another gauge, or leave --strict out and have it remarked on the record.",
    exit: EXIT.fail,
  });
}
