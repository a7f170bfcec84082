import type { Clock } from "../core/link.ts";
import { LiveLoop } from "./liveLoop.ts";
import { pulses } from "./parts/pulses.ts";
import { runScreen, type ScreenPlace } from "./runScreen.ts";
import { type LiveAction, type LiveFacts, type LiveLook, liveKey } from "./screens/liveState.ts";

export interface LiveScreenOptions extends ScreenPlace {
  facts: LiveFacts;
  /** The bell follows the loss from the start; `s` turns it on and off. */
  sound: boolean;
  /** The crew's own time, never a simulated pipe's: it paces frames and the bell. */
  clock: Clock;
  look(): LiveLook;
  onKey(action: Exclude<LiveAction, "sound">): void;
}

export interface LiveScreenHandle {
  /** Something has come from the gauge. */
  news(): void;
  /** One sentence to be seen for a while. */
  notice(text: string): void;
  /** Gives the terminal back; idempotent. */
  close(): void;
}

/** A gauge's figures on the alternate screen until it is closed. */
export async function runLiveScreen(options: LiveScreenOptions): Promise<LiveScreenHandle> {
  const { clock, facts, sound, look, onKey } = options;
  const { loop, isOpen, close } = await runScreen(options, {
    load: async () => (await import("./screens/live.tsx")).LiveScreen,
    keys: liveKey,
    loop: ({ columns, rows, colour, write, draw }) =>
      new LiveLoop({ facts: { ...facts, columns, rows, colour, sound }, clock, pulses: pulses(clock, write), look, draw, onKey }),
  });
  return {
    news: () => (isOpen() ? loop.news() : undefined),
    notice: (text) => (isOpen() ? loop.notice(text) : undefined),
    close,
  };
}
