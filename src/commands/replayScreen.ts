import { lastValueFrom, tap } from "rxjs";
import { displayUnit } from "../core/methods/displayUnit.ts";
import type { RecordStart } from "../core/record.ts";
import { Film } from "../core/replay/film.ts";
import { QueueClock } from "../links/queueClock.ts";
import { recordedLink } from "../links/recorded.ts";
import { endedAt } from "../session/endedAt.ts";
import { runSession } from "../session/session.ts";
import type { ReplayFacts } from "../terminal/screens/replayPicture.ts";
import type { Io, Terminal } from "./io.ts";
import type { Played } from "./replaySource.ts";
import { differences } from "./verdictDifferences.ts";

/** The recording run once through the session, as fast as it goes, and kept. */
async function filmOf(played: Played, start: RecordStart, unfiltered: boolean): Promise<Film> {
  const { driver, events, recorded } = played;
  const film = new Film(start);
  const link = recordedLink(events, { clock: new QueueClock(start.started_wall_ms), source: start.source, describe: "a replay" });
  await lastValueFrom(
    runSession({ link, driver, start, recorded, unfiltered, journal: () => undefined }).pipe(
      tap(({ event, readings, turns, judge }) => film.add({ event, readings, turns, view: judge.view(event.at_ms) })),
    ),
  );
  return film.finish();
}

function factsOf(film: Film, { before, driver }: Played, changes: readonly string[], unfiltered: boolean): ReplayFacts {
  const { verdict } = film;
  const compared = before !== null && verdict !== null && changes.length === 0;
  return {
    film,
    unit: displayUnit(film.start.limits),
    before,
    parted: compared ? differences(before, verdict) : [],
    changes,
    endedAt: (index) => endedAt(film, driver, unfiltered, index),
  };
}

/** Both runs of what is to be looked at: as recorded, and under what is asked for besides. */
async function filmsOf(played: Played): Promise<{ recorded: ReplayFacts; whatIf: ReplayFacts | null }> {
  const { start, recordedStart, unfiltered, changes, recorded } = played;
  // A CSV was recorded as nothing: what is asked for is all there is, and its events can be read once only.
  if (!recorded || changes.length === 0)
    return { recorded: factsOf(await filmOf(played, start, unfiltered), played, changes, unfiltered), whatIf: null };
  return {
    recorded: factsOf(await filmOf(played, recordedStart, false), played, [], false),
    whatIf: factsOf(await filmOf(played, start, unfiltered), played, changes, unfiltered),
  };
}

/** More than these take a few seconds. */
const LONG_EVENTS = 50_000;

/** Plays it on the screen until the viewer has seen enough, or the terminal is gone; the film of what was asked for. */
export async function replayOnScreen(played: Played, terminal: Terminal, io: Io, speed: number): Promise<Film> {
  if (Array.isArray(played.events) && played.events.length > LONG_EVENTS)
    io.err(`staunch: going through ${played.events.length} events once; then every moment is at hand.`);
  const facts = await filmsOf(played);
  // The films hold the journal packed; a long one is not to be kept twice.
  played.events = [];
  const { runReplayScreen } = await import("../terminal/runReplay.tsx");
  let close = (): void => undefined;
  const closed = new Promise<void>((resolve) => {
    close = resolve;
  });
  const offInterrupt = io.onInterrupt(() => close());
  try {
    const place = { ...terminal, ...facts, speed, clock: io.clock, plays: true, env: { ...io.env } };
    const screen = await runReplayScreen({ ...place, onClose: () => close(), onError: () => close() });
    await closed;
    screen.close();
  } finally {
    offInterrupt();
  }
  return (facts.whatIf ?? facts.recorded).film;
}
