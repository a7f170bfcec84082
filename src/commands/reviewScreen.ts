import { basename } from "node:path";
import { EXIT, type ExitCode } from "../core/errors.ts";
import type { Archive } from "../storage/open.ts";
import { reviewBook } from "../storage/reviewLines.ts";
import { openForReview } from "../storage/reviewOpen.ts";
import { dayOf } from "../terminal/wall.ts";
import type { Context } from "./command.ts";
import { sourceFrom } from "./reviewSource.ts";

/** The screen until it is closed; the archive is written only by what is said there, and by what can be made again. */
export async function runReview(options: { words: readonly string[]; by?: string }, context: Context): Promise<ExitCode> {
  const archive = openForReview(context.archive);
  try {
    await untilClosed(options, archive, context);
    return EXIT.pass;
  } finally {
    archive.close();
  }
}

async function untilClosed({ words, by }: { words: readonly string[]; by?: string }, archive: Archive, context: Context): Promise<void> {
  const { io } = context;
  if (io.terminal === null) return;
  const book = reviewBook(archive, dayOf, io.clock.wall_ms());
  const { runReviewScreen } = await import("../terminal/runReview.ts");
  let over = (): void => undefined;
  let fell: unknown = null;
  const closed = new Promise<void>((resolve) => {
    over = resolve;
  });
  const offInterrupt = io.onInterrupt(() => over());
  const close = await runReviewScreen({
    ...io.terminal,
    facts: { archive: basename(archive.path), writable: archive.mode === "write", book, query: words.join(" "), by: by?.trim() ?? "" },
    clock: io.clock,
    source: sourceFrom(archive, book, context),
    env: { ...io.env },
    onClose: () => over(),
    onError: (error) => {
      fell = error;
      over();
    },
  });
  try {
    await closed;
  } finally {
    offInterrupt();
    close();
  }
  if (fell !== null) throw fell;
}
