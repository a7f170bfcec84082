import { existsSync } from "node:fs";
import { EXIT, StaunchError, usageError } from "../core/errors.ts";
import { fitnessOf } from "../core/gauges/fitness.ts";
import { errorOf_Pa, factsOnFile } from "../core/gauges/sheet.ts";
import { usualDrift } from "../core/gauges/zeroHistory.ts";
import type { Limits } from "../core/methods/limits.ts";
import type { GaugeFacts } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { zerosOf } from "../storage/gaugeLogs.ts";
import { findGauge, type GaugeOnFile, listGauges } from "../storage/gauges.ts";
import { type Archive, openArchive } from "../storage/open.ts";
import type { GaugeWishes, ReadyGauge } from "./gauge.ts";
import { nearest } from "./nearest.ts";

/** A gauge on file, and how far its zero is known to wander in a test. */
export interface KnownGauge extends GaugeOnFile {
  zeroDrift_Pa: number | null;
}

/** Zeros of the last ten tests. */
const ZEROS = 20;
export const isAddress = (word: string): boolean => word.includes("://");

/** `--gauge WORD`: a gauge of this archive, or `null` for an address. A StaunchError `gauge-unknown` (64) for a name not on file. */
export const gaugeOnFile = (word: string, archivePath: string): KnownGauge | null =>
  isAddress(word) ? null : gaugeNamed(word, archivePath);

/** The gauge of this name. A StaunchError `gauge-unknown` (64) when it is not on file. */
export function gaugeNamed(word: string, archivePath: string): KnownGauge {
  if (!existsSync(archivePath)) throw unknown(word, []);
  const archive = openArchive(archivePath, { mode: "read" });
  try {
    return gaugeIn(archive, word);
  } finally {
    archive.close();
  }
}

/** The same in an archive that is open. */
export function gaugeIn(archive: Archive, name: string): KnownGauge {
  const found = findGauge(archive, name);
  if (found === null)
    throw unknown(
      name,
      listGauges(archive).map((gauge) => gauge.name),
    );
  return { ...found, zeroDrift_Pa: usualDrift(zerosOf(archive, found.number, ZEROS)) };
}

function unknown(word: string, names: readonly string[]): StaunchError {
  const shown = names.map((name) => plainText(name, 40));
  const near = nearest(word, shown);
  const known = shown.length === 0 ? "None is on file yet" : `On file: ${shown.slice(0, 8).join(", ")}`;
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
