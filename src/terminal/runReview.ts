import type { Clock } from "../core/link.ts";
import { ReviewLoop, type ReviewSource } from "./reviewLoop.ts";
import { runScreen, type ScreenPlace } from "./runScreen.ts";
import { reviewKeyOf } from "./screens/reviewKeys.ts";
import type { ReviewFacts } from "./screens/reviewState.ts";

export interface ReviewScreenOptions extends ScreenPlace {
  facts: ReviewFacts;
  clock: Clock;
  source: ReviewSource;
  onClose(): void;
}

/** The supervisor's table on the alternate screen; the returned function gives the terminal back and is idempotent. */
export async function runReviewScreen(options: ReviewScreenOptions): Promise<() => void> {
  const { facts, clock, source, onClose } = options;
  const { close } = await runScreen(options, {
    load: async () => (await import("./screens/review.tsx")).ReviewScreen,
    keys: reviewKeyOf,
    marksPaste: true,
    loop: ({ columns, rows, colour, draw }) => new ReviewLoop({ facts: { ...facts, columns, rows, colour }, clock, source, draw, onClose }),
  });
  return close;
}
