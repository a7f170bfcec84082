import { filter, map, Subject, takeWhile, tap } from "rxjs";
import { EXIT, type ExitCode, StaunchError, usageError } from "../core/errors.ts";
import { allowedFor, KitWatch } from "../core/gauges/kitWatch.ts";
import { errorOf_Pa } from "../core/gauges/sheet.ts";
import { heldZeroFor } from "../core/judging/heldZero.ts";
import { LiveGauge } from "../core/live/liveGauge.ts";
import { plainJson, plainText } from "../core/text.ts";
import { parseDuration, parsePressure } from "../core/units.ts";
import { watchGauge } from "../session/liveSession.ts";
import { addKitCheck, type KitCheck } from "../storage/gaugeLogs.ts";
import { openArchive } from "../storage/open.ts";
import { dayOf } from "../terminal/wall.ts";
import type { Context } from "./command.ts";
import { type ReadyGauge, readyGauge } from "./gauge.ts";
import { gaugeNamed, type KnownGauge, wishesOnFile, withFile } from "./gaugeOnFile.ts";
import { checkText, plainPressure } from "./gaugePages.ts";
import type { Io } from "./io.ts";
import { KitPrompts } from "./kitPrompts.ts";
import { paceFrom } from "./pace.ts";

export interface KitWords {
  pressure: string;
  hold: string;
  allow?: string;
  note?: string;
  json?: boolean;
  pace?: string;
}

const PATIENCE_MS = 20_000;
/** Nobody pumps up a hose for longer. */
const LONGEST_CHARGE_S = 900;
/** A simulated kit: more hose than anyone has, for the simulated pump is made for what it fills, not for its own hose. */
const HOSE = { dn_mm: 25, laid_length_m: 20 };

/** `gauges kit-check`: hose and gauge capped at charge pressure. The result is kept and linked to the day's records. */
export async function kitCheck({ name, ...words }: KitWords & { name: string }, context: Context): Promise<ExitCode> {
  const { io } = context;
  const gauge = gaugeNamed(name, context);
  if (gauge.sheet.url.startsWith("keyed:"))
    throw usageError(
      "kit-keyed",
      "A kit check reads the gauge by itself; this one is read by eye.",
      "Watch the tube for five minutes instead.",
    );
  const aim = aimFrom(words, gauge);
  const ready = readyFor(gauge, words, aim, io);
  // Opened now: trouble with the disk is better known before the pumping than after the five minutes.
  const archive = openArchive(context.archive, { mode: "write" });
  try {
    const say = (text: string): void => (words.json ? io.err(text) : io.out(text));
    const watch = await watched(ready, new KitWatch({ ...aim, gauge: ready.facts }), new KitPrompts(aim, say), io);
    if (watch === null) return EXIT.interrupted;
    const { result } = watch;
    if (result === null) throw undecided("a reading is missing at an end of the hold");
    const wall_ms = io.clock.wall_ms();
    const note = [result.lost ? "it did not hold at all" : "", words.note === undefined ? "" : plainText(words.note, 120)];
    const check: KitCheck = {
      wall_ms,
      day: dayOf(wall_ms),
      pressure_Pa: Math.sign(aim.target_Pa) * result.start_Pa,
      duration_s: result.duration_s,
      drop_Pa: result.drop_Pa,
      u_drop_Pa: result.u_drop_Pa,
      allowed_Pa: result.allowed_Pa,
      passed: result.passed,
      source: ready.link.source,
      note: note.filter((part) => part !== "").join("; ") || null,
    };
    addKitCheck(archive, gauge.number, check);
    if (words.json) io.out(plainJson({ schema: "staunch/kit-check/1", gauge: gauge.name, ...check }));
    else io.out(`Kit check of ${plainText(gauge.name, 60)}: ${checkText(check)}.`);
    return check.passed ? EXIT.pass : EXIT.fail;
  } finally {
    archive.close();
  }
}

export interface KitAim {
  target_Pa: number;
  duration_s: number;
  allowed_Pa: number | null;
}

function aimFrom({ pressure, hold, allow }: KitWords, { name, sheet }: KnownGauge): KitAim {
  const target_Pa = parsePressure(pressure);
  const duration_s = parseDuration(hold);
  const allowed_Pa = allow === undefined ? null : parsePressure(allow);
  if (Math.abs(target_Pa) < 500 || Math.abs(target_Pa) > 60_000)
    throw usageError(
      "kit-pressure",
      `--pressure ${JSON.stringify(pressure.slice(0, 40))} is no charge pressure.`,
      "Write what the day's tests are charged to, 5 to 600 mbar.",
    );
  if (!(duration_s >= 60 && duration_s <= 3600))
    throw usageError(
      "kit-hold",
      `--hold ${JSON.stringify(hold.slice(0, 40))} shows nothing.`,
      "Write 1 min to 60 min; five minutes are usual.",
    );
  if (allowed_Pa !== null && !(allowed_Pa > 0 && allowed_Pa < Math.abs(target_Pa)))
    throw usageError(
      "kit-allow",
      `--allow ${JSON.stringify((allow ?? "").slice(0, 40))} cannot be lost.`,
      'Write a small pressure, such as "50 Pa".',
    );
  const { low_Pa, high_Pa, reference } = sheet;
  if (low_Pa !== null && high_Pa !== null && reference !== "absolute" && (target_Pa < low_Pa || target_Pa > high_Pa))
    throw usageError(
      "kit-pressure",
      `${plainPressure(target_Pa)} is outside the range of gauge ${JSON.stringify(plainText(name, 40))} (${plainPressure(low_Pa)} to ${plainPressure(high_Pa)}).`,
      "Give a --pressure it can bear.",
    );
  return { target_Pa, duration_s, allowed_Pa };
}

function readyFor(gauge: KnownGauge, words: KitWords, { target_Pa, duration_s, allowed_Pa }: KitAim, io: Io): ReadyGauge {
  const permittedDrop_Pa = allowed_Pa ?? allowedFor(Math.abs(target_Pa), 0);
  const told = {
    url: gauge.sheet.url,
    resolution_Pa: null,
    accuracy_fraction: null,
    accuracy_Pa: errorOf_Pa(gauge.sheet),
    pace: paceFrom(words.pace),
    bluetoothChild: io.bluetoothChild,
  };
  const aim = { test_Pa: target_Pa, charge_Pa: target_Pa, permittedDrop_Pa, hold_s: duration_s, ...HOSE };
  return withFile(readyGauge(wishesOnFile(gauge, told), aim, io.clock, io.clock.wall_ms()), gauge, null);
}

const undecided = (why: string): StaunchError =>
  new StaunchError({
    code: "kit-check-undecided",
    message: `The kit check shows nothing: ${why}.`,
    hint: "Check the gauge's line and repeat it; nothing was kept.",
    exit: EXIT.undecided,
  });

/** Runs the check to its end; `null` when a person broke it off. */
function watched({ link, driver, facts }: ReadyGauge, watch: KitWatch, prompts: KitPrompts, io: Io): Promise<KitWatch | null> {
  const zero = heldZeroFor(facts.reference);
  const keys = new Subject<string>();
  const off = io.onInterrupt(() => keys.next("stop"));
  const gauge = new LiveGauge({ reference: facts.reference, volume_m3: null });
  const updates$ = watchGauge({ link, driver, gauge, keys, patience_ms: PATIENCE_MS }).pipe(
    filter(({ event }) => event.kind !== "end"),
    tap(({ event }) => {
      if (watch.phase === "charge" && gauge.seconds(event.at_ms) > LONGEST_CHARGE_S) throw undecided("the pressure was never reached");
    }),
    map(({ event, readings }) => {
      for (const reading of readings) {
        const { at_ms, pressure_Pa } = zero === null ? reading : zero.taken(reading);
        if (pressure_Pa !== null) watch.reading(gauge.seconds(at_ms), pressure_Pa);
        prompts.after(watch, gauge.seconds(at_ms), pressure_Pa, (act) => link.hear?.(act));
      }
      return { event, over: watch.phase === "over" };
    }),
    takeWhile(({ over }) => !over),
  );
  return new Promise<KitWatch | null>((resolve, reject) => {
    updates$.subscribe({ error: reject, complete: () => resolve(watch.phase === "over" ? watch : null) });
  }).finally(off);
}
