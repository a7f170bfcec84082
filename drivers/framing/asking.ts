/**
 * When to ask a gauge that speaks only when asked. One question is outstanding at a time; time is the stamp of an event.
 *
 *     ask ── answer ── interval over ── ask ──────────── time-out ── ask again ── answer ── answer ── ask
 *                                        └ no answer: one more may still come ┘     late      own
 *
 * So the pace follows the gauge by itself: one that needs longer than the interval is asked the moment it has answered, one that
 * is quick again is asked at the interval again; never sooner than that, never later than the longer of interval and time-out.
 *
 * After a time-out two answers may be on their way. Until both have come, or the time-out has passed once more, no
 * new question is asked; so a late answer cannot be taken for the next question's answer for ever.
 */
export interface Asking {
  /** When the last question was sent; `null` before the first. */
  sent_ms: number | null;
  /** Answers that may still come. */
  open: number;
  /** Something has been answered since the last question. */
  answered: boolean;
}

export interface Pace {
  interval_ms: number;
  timeout_ms: number;
}

export const neverAsked: Asking = { sent_ms: null, open: 0, answered: false };

export const afterAnswer = (asking: Asking): Asking => ({
  ...asking,
  open: Math.max(0, asking.open - 1),
  answered: true,
});

/** When the next question may be asked; at once before the first. */
function due_ms(asking: Asking, pace: Pace): number {
  if (asking.sent_ms === null) return Number.NEGATIVE_INFINITY;
  return asking.sent_ms + (asking.open === 0 ? pace.interval_ms : Math.max(pace.interval_ms, pace.timeout_ms));
}

/** Asks when it is time to; `wakeAt_ms` is when to look again. */
export function askWhenDue(asking: Asking, now_ms: number, pace: Pace): { asking: Asking; ask: boolean; wakeAt_ms: number } {
  const due = due_ms(asking, pace);
  if (now_ms < due) return { asking, ask: false, wakeAt_ms: due };
  const unanswered = asking.answered ? 0 : asking.open;
  const next: Asking = {
    sent_ms: now_ms,
    open: unanswered + 1,
    answered: false,
  };
  return { asking: next, ask: true, wakeAt_ms: due_ms(next, pace) };
}
