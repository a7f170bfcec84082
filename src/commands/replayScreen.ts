import { lastValueFrom, tap } from "rxjs";
import { displayUnit } from "../core/methods/displayUnit.ts";
import type { RecordStart } from "../core/record.ts";
import { Film } from "../core/replay/film.ts";
import { compareVerdicts } from "../core/verdictDifferences.ts";
import { QueueClock } from "../links/queueClock.ts";
import { recordedLink } from "../links/recorded.ts";
import { endedAt } from "../session/endedAt.ts";
import { readingsSeen } from "../session/readingsSeen.ts";
import { runSession } from "../session/session.ts";
import { quietKeys } from "../terminal/quietKeys.ts";
import type { Asked } from "../terminal/screens/replayAsked.ts";
import type { ReplayFacts } from "../terminal/screens/replayPicture.ts";
import type { Io, Terminal } from "./io.ts";
import { cautionsOf, type Played } from "./replaySource.ts";
import { changesOf, isFiltered } from "./replayWhatIf.ts";

type Progress = (share: number) => void;

interface Judging {
  start: RecordStart;
  unfiltered: boolean;
  progress: Progress;
}

/** Parts in which progress is told. */
const STEPS = 50;

/** The recording run once through the session, as fast as it goes, and kept. */
async function filmOf({ driver, events, length, recorded }: Played, { start, unfiltered, progress }: Judging): Promise<Film> {
  const film = new Film(start);
  const link = recordedLink(events, { clock: new QueueClock(start.started_wall_ms), source: start.source, describe: "a replay" });
  const step = Math.max(1, Math.ceil(length / STEPS));
  await lastValueFrom(
    runSession({ link, driver, start, recorded, unfiltered, journal: () => undefined }).pipe(
      tap((update) => {
        const { event, turns, judge } = update;
        film.add({ event, readings: readingsSeen(update), turns, view: judge.view(event.at_ms) });
        if (film.length % step === 0) progress(film.length / length);
      }),
    ),
  );
  return film.finish();
}

function factsOf(film: Film, { before, driver, seal }: Played, changes: readonly string[], unfiltered: boolean): ReplayFacts {
  const { verdict } = film;
  const isCompared = before !== null && verdict !== null && changes.length === 0;
  return {
    film,
    unit: displayUnit(film.start.limits),
    cautions: cautionsOf(film.start),
    before,
    comparison: isCompared ? compareVerdicts(before, verdict) : null,
    changes,
    seal: seal === null ? null : { word: seal.word, what: seal.what },
    endedAt: (index) => endedAt(film, driver, unfiltered, index),
  };
}

const eventsOf = (film: Film): Played["events"] => ({
  *[Symbol.iterator]() {
    for (let i = 0; i < film.length; i++) yield film.tape.event(i);
  },
});

/** As recorded, and under what is asked for besides; `null` when that is nothing. */
async function filmsOf(played: Played, progress: Progress): Promise<{ recorded: ReplayFacts; whatIf: ReplayFacts | null }> {
  const { start, recordedStart, unfiltered, changes } = played;
  const film = await filmOf(played, { start: recordedStart, unfiltered: false, progress });
  const recorded = factsOf(film, played, [], false);
  // The film holds the journal packed; a long one is not to be kept twice. That of a CSV has timers and an end of its own in it.
  if (played.recorded) played.events = eventsOf(film);
  if (changes.length === 0) return { recorded, whatIf: null };
  return { recorded, whatIf: factsOf(await filmOf(played, { start, unfiltered, progress }), played, changes, unfiltered) };
}

/** The same under another rule or filter, chosen on the screen; what was asked for on the command line stays. */
async function askedOf(played: Played, { rule, unfiltered }: Asked, progress: Progress): Promise<ReplayFacts | null> {
  const start = { ...played.start, rule };
  const changes = changesOf({ ...played, start, unfiltered });
  return changes.length === 0 ? null : factsOf(await filmOf(played, { start, unfiltered, progress }), played, changes, unfiltered);
}

/** The line is blank again (ECMA-48 erase in line). */
export const CLEARED = "\r\u001b[K";

/** More than these take longer than one likes to look at nothing. */
const LONG_EVENTS = 20_000;

/** A line that tells how far it has come and is gone afterwards. */
function progressLine({ stdout }: Terminal, length: number): { progress: Progress; done(): void } {
  if (length < LONG_EVENTS) return { progress: () => undefined, done: () => undefined };
  const write = (text: string): void => void (stdout.writable && stdout.write(text));
  return {
    progress: (share) => write(`\rGoing through ${length} events once: ${Math.floor(100 * Math.min(1, share))} %`),
    done: () => write(CLEARED),
  };
}

/** Plays it on the screen until the viewer has seen enough, or the terminal is gone; the film of what was asked for. */
export async function replayOnScreen(played: Played, terminal: Terminal, io: Io, speed: number): Promise<Film> {
  const { progress, done } = progressLine(terminal, played.length);
  const release = quietKeys(terminal.stdin, () => process.kill(process.pid, "SIGINT"));
  try {
    progress(0);
    const facts = await filmsOf(played, progress).finally(done);
    return await untilSeen(facts, { played, terminal, io, speed, taken: () => release(true) });
  } finally {
    release(false);
  }
}

interface Seen {
  played: Played;
  terminal: Terminal;
  io: Io;
  speed: number;
  /** The screen hears the keys from now on. */
  taken(): void;
}

async function untilSeen(
  facts: { recorded: ReplayFacts; whatIf: ReplayFacts | null },
  { played, terminal, io, speed, taken }: Seen,
): Promise<Film> {
  const { runReplayScreen } = await import("../terminal/runReplay.tsx");
  let close = (): void => undefined;
  const closed = new Promise<void>((resolve) => {
    close = resolve;
  });
  const offInterrupt = io.onInterrupt(() => close());
  try {
    const asked: Asked = { rule: played.start.rule, unfiltered: played.unfiltered };
    const ask = (wanted: Asked, tell: Progress): Promise<ReplayFacts | null> => askedOf(played, wanted, tell);
    const place = {
      ...terminal,
      ...facts,
      asked,
      filters: isFiltered(played.start),
      ask,
      speed,
      clock: io.clock,
      plays: true,
      env: { ...io.env },
    };
    const screen = await runReplayScreen({ ...place, onClose: () => close(), onError: () => close() });
    taken();
    await closed;
    screen.close();
  } finally {
    offInterrupt();
  }
  return (facts.whatIf ?? facts.recorded).film;
}
