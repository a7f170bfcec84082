import { findDriver } from "../../drivers/index.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import type { LiveView } from "../../src/core/judging/view.ts";
import type { RecordStart } from "../../src/core/record.ts";
import { Film } from "../../src/core/replay/film.ts";
import { keyedDriver } from "../../src/links/keyed.ts";
import { fold, startFold } from "../../src/session/fold.ts";
import { readingsSeen } from "../../src/session/readingsSeen.ts";

export interface Filmed {
  film: Film;
  /** What a screen was told at every event, kept whole. */
  views: LiveView[];
}

/** A whole journal, its end included, folded as a session folds it. */
export function filmed(start: RecordStart, journal: readonly JournalEvent[], unfiltered = false): Filmed {
  const { protocol, driverOptions = {} } = start.gauge;
  const driver = protocol === "keyed" ? keyedDriver : findDriver(protocol).create(driverOptions);
  const folding = startFold(driver, start, unfiltered);
  const film = new Film(start);
  const views: LiveView[] = [];
  for (const event of journal) {
    const update = fold(folding, event);
    const { turns, judge } = update;
    const view = judge.view(event.at_ms);
    views.push(structuredClone(view));
    film.add({ event, readings: readingsSeen(update), turns, view });
  }
  return { film: film.finish(), views };
}
