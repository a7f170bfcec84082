import { Subject, tap } from "rxjs";
import { EXIT, type ExitCode } from "../core/errors.ts";
import { isKeyed } from "../core/judging/water/waterJudge.ts";
import { displayUnit } from "../core/methods/displayUnit.ts";
import type { RecordStart, Verdict } from "../core/record.ts";
import { plainJson } from "../core/text.ts";
import { runSession, type Update } from "../session/session.ts";
import { closeInterrupted } from "../storage/interrupted.ts";
import type { Archive } from "../storage/open.ts";
import type { Sealing } from "../storage/sealRecord.ts";
import { createRecord } from "../storage/writer.ts";
import type { TestScreenHandle } from "../terminal/runTest.tsx";
import { Entry } from "./entry.ts";
import { foldJournal } from "./foldJournal.ts";
import type { ReadyGauge } from "./gauge.ts";
import type { Io } from "./io.ts";
import { exitOf } from "./judge.ts";
import { LateWriter } from "./lateWriter.ts";
import { withLookAlikes } from "./lookAlikes.ts";
import { secondAfterTest } from "./reviewBeside.ts";
import { PlainTest } from "./testOutput.ts";
import { isVerdict, TestTeller } from "./testTeller.ts";
import { Voice } from "./voice.ts";

export interface TestRun {
  io: Io;
  archive: Archive;
  sealing: Sealing | null;
  start: RecordStart;
  gauge: ReadyGauge;
  show: { plain: boolean; json: boolean; events: boolean; say: boolean };
  /** Those of the method and of the gauge. */
  cautions: readonly string[];
  /** Called once the verdict is on disk. */
  whenKept?: (last: Update) => void;
  /** The screen leaves by itself after the verdict (a simulated gauge run faster than life). */
  leaves: boolean;
}

/** A gauge that has not spoken by then will not. */
const PATIENCE_MS = 20_000;
/** Time for reading the verdict where nobody is there to press a key. */
const LEAVES_AFTER_MS = 4000;

/** Runs one test to its committed verdict. */
export async function runTest(run: TestRun): Promise<ExitCode> {
  const { io, start, show } = run;
  const keys = new Subject<string>();
  const offInterrupt = io.onInterrupt(() => keys.next("stop"));
  const entry = new Entry(start.limits, keys);
  const plain = new PlainTest(io, start, show);
  const closed = new Subject<void>();
  const say = (text: string): void => screen?.notice(text);
  const onKey = (action: string): void => {
    if (action === "close") closed.next();
    else if (action.startsWith("entry ")) entry.typed(action.slice("entry ".length), say);
    else keys.next(action);
  };
  const screen: TestScreenHandle | null = show.plain ? null : await openScreen(run, onKey, closed);
  const voice = new Voice(show.say, (text) => (screen === null ? io.err(text) : undefined));
  if (screen === null) plain.opening(run.cautions);
  const isTyped = screen === null && (start.limits.water !== undefined || isKeyed(start));
  const offLine = isTyped ? io.onLine((line) => entry.typed(line, io.err)) : () => {};
  const teller = new TestTeller({ io, screen, plain, voice, entry });
  try {
    const last = await follow(run, keys, teller);
    run.whenKept?.(last);
    const verdict = withLookAlikes(run.archive, teller.kept(last));
    await leave(run, screen, last, closed);
    // The verdict is for the ordinary screen too, which shows again only now.
    screen?.close();
    ending(run, plain, verdict, screen !== null);
    return exitFor(verdict, last);
  } finally {
    offInterrupt();
    offLine();
    voice.stop();
    screen?.close();
  }
}

/** The verdict whole, and a second opinion that is another. */
function ending({ io, archive, start, show }: TestRun, plain: PlainTest, verdict: Verdict, hadScreen: boolean): void {
  if (hadScreen || !show.json) plain.verdict(verdict);
  if (show.json) io.out(plainJson(verdict));
  const second = secondAfterTest(archive, start.id);
  if (second !== null) (show.json || show.events ? io.err : io.out)(second);
}

/** The session to its end; resolves when the verdict is on disk. Whatever breaks it, the record is closed. */
function follow(run: TestRun, keys: Subject<string>, teller: TestTeller): Promise<Update> {
  const { io, archive, sealing, start, gauge } = run;
  const writer = new LateWriter(
    () => createRecord(archive, start, io.clock, sealing),
    (error) => teller.trouble(error),
  );
  const keyed = isKeyed(start);
  const patience = keyed ? {} : { patience_ms: PATIENCE_MS };
  const session = runSession({ ...gauge, start, keys, ...patience, journal: (event) => writer.append(event) });
  return new Promise<Update>((resolve, reject) => {
    let last: Update | null = null;
    const fail = (error: unknown): void => {
      if (writer.made) closeInterrupted(archive, io.clock.wall_ms(), foldJournal, sealing);
      reject(error);
    };
    const followed = tap((update: Update) => {
      last = update;
      if (keyed || update.readings.some((reading) => reading.pressure_Pa !== null)) writer.make();
      teller.update(update);
    });
    // As an operator: what it throws (a disk that takes no record) ends the session like any other failure of it.
    session.pipe(followed).subscribe({
      error: fail,
      complete: () => {
        if (last?.judge.verdict == null) return fail(new Error("the session ended without an end"));
        const done = last;
        writer.end({ ended_wall_ms: done.event.wall_ms, verdict: last.judge.verdict }).then(() => resolve(done), reject);
      },
    });
  });
}

async function openScreen(run: TestRun, onKey: (action: string) => void, closed: Subject<void>): Promise<TestScreenHandle | null> {
  const { io, start } = run;
  if (io.terminal === null) return null;
  const { runTestScreen } = await import("../terminal/runTest.tsx");
  return runTestScreen({
    ...io.terminal,
    start,
    unit: displayUnit(start.limits),
    cautions: run.cautions,
    clock: io.clock,
    onKey,
    onError: () => closed.next(),
    env: { ...io.env },
  });
}

/** The verdict is shown only now that it is on disk; the screen stays until a key, or a while where nobody is. */
async function leave(run: TestRun, screen: TestScreenHandle | null, last: Update, closed: Subject<void>): Promise<void> {
  if (screen === null) return;
  const { io } = run;
  screen.update(last.judge.view(last.event.at_ms), last.turns.filter(isVerdict), []);
  if (last.event.kind === "end" && last.event.cause === "user") return;
  await new Promise<void>((resolve) => {
    closed.subscribe(() => resolve());
    const off = io.onInterrupt(() => resolve());
    if (run.leaves) io.clock.at(io.clock.now_ms() + LEAVES_AFTER_MS, resolve);
    closed.subscribe(off);
  });
}

function exitFor(verdict: Verdict, last: Update): ExitCode {
  const stopped = last.event.kind === "end" && last.event.cause === "user";
  return stopped && verdict.verdict === "void" ? EXIT.interrupted : exitOf(verdict.verdict);
}
