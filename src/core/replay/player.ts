import type { Film } from "./film.ts";

/** Where a replay stands and whether it runs. */
export interface Player {
  /** The last event that has come. */
  index: number;
  /** Time on the tape, which also goes on where nothing comes. */
  at_ms: number;
  speed: number;
  /** Set while it plays: this time of the tape belongs to that real time. */
  running: { at_ms: number; real_ms: number } | null;
}

export const SPEEDS: readonly number[] = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
const TOP_SPEED = 1000;

/** At the start, standing. `speed` is held between 1 and 1000. */
export const newPlayer = (film: Film, speed: number): Player => ({
  index: film.tape.indexAt(film.from_ms),
  at_ms: film.from_ms,
  speed: Math.min(TOP_SPEED, Math.max(1, speed)),
  running: null,
});

/** Runs on from where it stands; from the end, from the start again. */
export function play(film: Film, player: Player, real_ms: number): Player {
  const from = isAtEnd(film, player) ? home(film, player, real_ms) : player;
  return { ...from, running: { at_ms: from.at_ms, real_ms } };
}

export const pause = (player: Player): Player => ({ ...player, running: null });

const isAtEnd = (film: Film, { index }: Player): boolean => index >= film.length - 1;

/** Real time has come to `real_ms`. */
export function tick(film: Film, player: Player, real_ms: number): Player {
  if (player.running === null) return player;
  const at_ms = player.running.at_ms + (real_ms - player.running.real_ms) * player.speed;
  if (at_ms >= film.to_ms) return pause(toEnd(film, player, real_ms));
  // Events of one stamp are stepped through by hand; what has been passed is not shown again.
  return { ...player, at_ms, index: Math.max(player.index, film.tape.indexAt(at_ms)) };
}

/** The same player elsewhere; one that plays goes on from there. */
function moved(player: Player, index: number, at_ms: number, real_ms: number): Player {
  return { ...player, index, at_ms, running: player.running && { at_ms, real_ms } };
}

/** To an event; `null` leaves it where it is. */
const toEvent = (film: Film, player: Player, index: number | null, real_ms: number): Player =>
  index === null ? player : moved(player, index, film.tape.reached_ms(index), real_ms);

export const stepReading = (film: Film, player: Player, way: 1 | -1, real_ms: number): Player =>
  toEvent(film, player, film.readingFrom(player.index, way), real_ms);

export const stepMark = (film: Film, player: Player, way: 1 | -1, real_ms: number): Player =>
  toEvent(film, player, film.markFrom(player.index, way), real_ms);

/** To a time of the tape in seconds from its start; beyond its ends to the nearer end. */
export function goTo(film: Film, player: Player, at_s: number, real_ms: number): Player {
  const at_ms = film.from_ms + Math.round(at_s * 1000);
  if (at_ms >= film.to_ms) return toEnd(film, player, real_ms);
  if (at_ms <= film.from_ms) return home(film, player, real_ms);
  return moved(player, film.tape.indexAt(at_ms), at_ms, real_ms);
}

export const stepSeconds = (film: Film, player: Player, seconds: number, real_ms: number): Player =>
  goTo(film, player, (player.at_ms - film.from_ms) / 1000 + seconds, real_ms);

/** The first moment, with all that came in it. */
export const home = (film: Film, player: Player, real_ms: number): Player =>
  moved(player, film.tape.indexAt(film.from_ms), film.from_ms, real_ms);

export const toEnd = (film: Film, player: Player, real_ms: number): Player => moved(player, film.length - 1, film.to_ms, real_ms);

/** The next speed up or down. */
export function faster(player: Player, way: 1 | -1, real_ms: number): Player {
  const { speed } = player;
  const next = way > 0 ? SPEEDS.find((one) => one > speed) : SPEEDS.findLast((one) => one < speed);
  return moved({ ...player, speed: next ?? speed }, player.index, player.at_ms, real_ms);
}
