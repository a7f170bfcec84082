import type { Clock } from "../core/link.ts";
import { replayKeysOf } from "./parts/replayKeys.ts";
import { ReplayLoop, type ReplayLoopParts } from "./replayLoop.ts";
import { runScreen, type ScreenPlace } from "./runScreen.ts";
import type { ReplayScreenFacts } from "./screens/replayState.ts";

export interface ReplayScreenOptions extends ScreenPlace, Omit<ReplayScreenFacts, "columns" | "rows" | "colour"> {
  clock: Clock;
  plays: boolean;
  /** As `ReplayLoopParts` has it. */
  ask: ReplayLoopParts["ask"];
  /** A person has seen enough. */
  onClose(): void;
}

/** The replay of a recording, on the alternate screen until it is closed; `close` is idempotent. */
export async function runReplayScreen(options: ReplayScreenOptions): Promise<{ close(): void }> {
  const { recorded, whatIf, speed, asked, filters, ask, clock, plays, onClose } = options;
  const { close } = await runScreen(options, {
    load: async () => (await import("./screens/replay.tsx")).ReplayScreen,
    keys: replayKeysOf,
    loop: ({ columns, rows, colour, draw }) =>
      new ReplayLoop({ facts: { recorded, whatIf, speed, asked, filters, columns, rows, colour }, ask, clock, plays, draw, onClose }),
  });
  return { close };
}
