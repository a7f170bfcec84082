import type { Film } from "../../core/replay/film.ts";
import { faster, home, type Player, pause, play, stepMark, stepReading, stepSeconds, toEnd } from "../../core/replay/player.ts";
import type { ReplayKey } from "../parts/replayKeys.ts";

/** `90`, `1:30`, `1:02:03.5` → seconds; `null` when it is no time. */
export function secondsOf(text: string): number | null {
  if (!/^\d+(:[0-5]?\d){0,2}(\.\d*)?$/.test(text)) return null;
  return text.split(":").reduce((seconds, part) => seconds * 60 + Number(part), 0);
}

/** Where a key takes the player; `null`: nowhere. */
export function movedBy(film: Film, player: Player, key: ReplayKey, real_ms: number): Player | null {
  switch (key) {
    case "play":
      return player.running === null ? play(film, player, real_ms) : pause(player);
    case "second-back":
      return stepSeconds(film, player, -1, real_ms);
    case "second-on":
      return stepSeconds(film, player, 1, real_ms);
    case "reading-back":
      return pause(stepReading(film, player, -1, real_ms));
    case "reading-on":
      return pause(stepReading(film, player, 1, real_ms));
    case "mark-back":
      return stepMark(film, player, -1, real_ms);
    case "mark-on":
      return stepMark(film, player, 1, real_ms);
    case "faster":
      return faster(player, 1, real_ms);
    case "slower":
      return faster(player, -1, real_ms);
    case "home":
      return home(film, player, real_ms);
    case "end":
      return pause(toEnd(film, player, real_ms));
    default:
      return null;
  }
}
