import type { HeardChunk } from "../../drivers/framing/hearing.ts";
import type { Link, OpenLink } from "../core/link.ts";

/** More is not looked at; a line at full speed fills it in a quarter of a minute. */
const MOST_BYTES = 200_000;

export interface Listening {
  /** Counted from the moment the line is up. */
  first_ms: number;
  /** In all, once `goesOn` says that what came first is worth it. */
  whole_ms: number;
  goesOn(chunks: readonly HeardChunk[]): boolean;
  /** Hands over the way to stop before time. */
  onStop(stop: () => void): () => void;
}

/** Opens a link and keeps what comes; sends nothing. `null` when stopped. Rejects when the link cannot be opened. */
export async function listenOn(link: Link, { first_ms, whole_ms, goesOn, onStop }: Listening): Promise<HeardChunk[] | null> {
  const { clock } = link;
  const chunks: HeardChunk[] = [];
  const line: { open: OpenLink | null; cancel: () => void; unhook: () => void } = { open: null, cancel: () => {}, unhook: () => {} };
  let size = 0;
  try {
    return await new Promise<HeardChunk[] | null>((resolve, reject) => {
      const end = (): void => resolve(chunks);
      const look = (): void => {
        if (whole_ms > first_ms && goesOn(chunks)) line.cancel = clock.at(clock.now_ms() + whole_ms - first_ms, end);
        else end();
      };
      line.unhook = onStop(() => resolve(null));
      line.open = link.open({
        event: (event) => {
          if (event.kind === "link-up") line.cancel = clock.at(clock.now_ms() + Math.min(first_ms, whole_ms), look);
          if (event.kind === "link-down") end();
          if (event.kind !== "bytes-in" || size > MOST_BYTES) return;
          size += event.bytes.length;
          chunks.push({ at_ms: event.at_ms, bytes: event.bytes });
        },
        fail: reject,
        done: end,
      });
    });
  } finally {
    line.cancel();
    line.unhook();
    await line.open?.close();
  }
}
