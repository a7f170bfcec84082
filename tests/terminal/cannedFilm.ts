import type { JournalEvent } from "../../src/core/journal.ts";
import type { LiveView, Turn } from "../../src/core/judging/view.ts";
import { Film } from "../../src/core/replay/film.ts";
import type { ReplayFacts } from "../../src/terminal/screens/replayPicture.ts";
import { firstReplay, type ReplayState } from "../../src/terminal/screens/replayState.ts";
import { CANNED, curveUntil, PASSED, START } from "./canned.ts";

/** The canned test as it would have come down a line, one reading a second; made up like all that is canned. */
const COURSE: readonly [name: string, from_s: number, turn: string][] = [
  ["idle", 0, "Leave the gauge open to the air."],
  ["charge", 10, "Charging began."],
  ["settle", 60, "Charge pressure reached; settling."],
  ["trim", 400, "Settled."],
  ["hold", 430, "The hold has begun."],
  ["vent", 670, "The hold is over."],
];

const LAST_s = 690;

function viewAt(at_s: number, pressure_Pa: number): LiveView {
  const [name] = COURSE.findLast(([, from_s]) => from_s <= at_s) ?? ["idle"];
  const canned = CANNED[at_s >= LAST_s ? "pass" : name]?.view;
  if (canned === undefined) throw new RangeError(name);
  const left = canned.hold === null || canned.finished ? null : Math.max(0, 670 - at_s);
  return {
    ...canned,
    at_s,
    pressure_Pa,
    pressureAt_s: at_s,
    timeLeft_s: left,
    hold: canned.hold && { ...canned.hold, elapsed_s: at_s - 430 },
    gauge: { ...canned.gauge, readings: at_s + 1, silent_s: 0 },
  };
}

const bytes = (pressure_Pa: number): Uint8Array => new TextEncoder().encode(`${(pressure_Pa / 100).toFixed(2)} mbar\r\n`);

export interface FilmWishes {
  /** In place of a reading's own bytes. */
  bytes?: (at_s: number) => Uint8Array;
  detail?: string;
  change?: Partial<typeof START>;
}

export function cannedFilm({ bytes: other, detail = "a canned line, 9600 8N1", change = {} }: FilmWishes = {}): Film {
  const film = new Film({ ...START, ...change });
  const curve = curveUntil(LAST_s);
  const stamp = (seq: number, at_s: number) => ({ seq, at_ms: at_s * 1000, wall_ms: START.started_wall_ms + at_s * 1000 });
  const turnsAt = (at_s: number): Turn[] =>
    COURSE.filter(([, from_s]) => from_s === at_s).map(([code, , text]) => ({ at_s, code, text, bell: "turn" }));
  const up: JournalEvent = { ...stamp(0, 0), kind: "link-up", detail };
  film.add({ event: up, readings: [], turns: [], view: { ...viewAt(0, 0), pressure_Pa: null } });
  for (let at_s = 0; at_s <= LAST_s; at_s++) {
    const pressure_Pa = curve[at_s * 10]?.pressure_Pa ?? 0;
    const event: JournalEvent = { ...stamp(at_s + 1, at_s), kind: "bytes-in", bytes: other?.(at_s) ?? bytes(pressure_Pa) };
    const view = { ...viewAt(at_s, pressure_Pa), verdict: null };
    film.add({ event, readings: [{ at_ms: at_s * 1000, pressure_Pa, unit: "mbar" }], turns: turnsAt(at_s), view });
  }
  const end: JournalEvent = { ...stamp(LAST_s + 2, LAST_s), kind: "end", cause: "finished", detail: "" };
  const turns: Turn[] = [{ at_s: LAST_s, code: "verdict", text: "Verdict: PASS.", bell: "pass" }];
  film.add({ event: end, readings: [], turns, view: viewAt(LAST_s, 0) });
  return film.finish();
}

/** A test stopped before its end. */
const VOIDED = { ...PASSED, verdict: "void" as const, reasons: [{ code: "hold-too-short" as const, text: "Cut short.", figures: {} }] };

export const factsOf = (film: Film, over: Partial<ReplayFacts> = {}): ReplayFacts => ({
  film,
  unit: "mbar",
  cautions: film.start.limits.cautions,
  before: PASSED,
  comparison: { same: "to the last digit", parted: [] },
  changes: [],
  seal: { word: "sealed", what: "" },
  endedAt: (index) => (index < film.length - 1 ? VOIDED : film.verdict),
  ...over,
});

/** Judged as it was tested. */
export const AS_TESTED = { asked: { rule: "simple", unfiltered: false }, filters: true } as const;

/** Standing at the start on a terminal of that size. */
export const cannedReplay = (columns: number, rows: number, over: Partial<ReplayFacts> = {}, colour = false): ReplayState =>
  firstReplay({ recorded: factsOf(cannedFilm(), over), whatIf: null, ...AS_TESTED, speed: 10, columns, rows, colour });
