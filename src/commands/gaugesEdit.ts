import { EXIT, type ExitCode, usageError } from "../core/errors.ts";
import type { GaugeSheet } from "../core/gauges/sheet.ts";
import { addGauge, addSheet } from "../storage/gauges.ts";
import { openArchive } from "../storage/open.ts";
import { dayOf } from "../terminal/wall.ts";
import type { Context } from "./command.ts";
import { gaugeIn } from "./gaugeOnFile.ts";
import { gaugeLines } from "./gaugePages.ts";
import type { GaugesOptions, ReviseWords } from "./gaugesWords.ts";
import { nameFrom, sheetFrom, sheetOf } from "./gaugeWords.ts";

type Asked<A extends GaugesOptions["ask"]> = Extract<GaugesOptions, { ask: A }>;

/** `gauges add`. */
export function fileGauge({ name: word, url, words }: Asked<"add">, { io, archive: path }: Context): ExitCode {
  const name = nameFrom(word);
  const wall_ms = io.clock.wall_ms();
  const today = dayOf(wall_ms);
  const sheet = sheetFrom(words, sheetOf(url), today);
  const archive = openArchive(path, { mode: "write" });
  try {
    addGauge(archive, name, sheet, wall_ms);
    io.out(gaugeLines([gaugeIn(archive, name)], today).join("\n"));
    return EXIT.pass;
  } finally {
    archive.close();
  }
}

/** `gauges calibrate`: a new sheet made of the one in force and of what was said. */
export function reviseGauge({ name, words }: Asked<"calibrate">, { io, archive: path }: Context): ExitCode {
  if (Object.keys(words).length === 0)
    throw usageError("nothing-said", "Nothing new was said of the gauge.", "Add --calibrated and --due, or what else has changed.");
  const wall_ms = io.clock.wall_ms();
  const today = dayOf(wall_ms);
  const archive = openArchive(path, { mode: "write" });
  try {
    const gauge = gaugeIn(archive, name);
    addSheet(archive, gauge.number, sheetFrom(words, before(gauge.sheet, words), today), wall_ms);
    io.out(gaugeLines([gaugeIn(archive, name)], today).join("\n"));
    return EXIT.pass;
  } finally {
    archive.close();
  }
}

/** What of the old sheet still holds: due date and certificate belong to the calibration before. */
function before(sheet: GaugeSheet, { calibrated, url, forgetIdentity }: ReviseWords): GaugeSheet {
  return {
    ...sheet,
    ...(url === undefined ? {} : { url: sheetOf(url).url }),
    ...(calibrated === undefined ? {} : { due: null, certificate: null }),
    ...(forgetIdentity ? { identity: null, usb: null } : {}),
  };
}
