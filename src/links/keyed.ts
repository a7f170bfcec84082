import type { Driver } from "../core/driver.ts";
import type { Clock, Link } from "../core/link.ts";

/** No gauge: what a crew reads is typed, and reaches the journal as keys. The line is always up and never says anything. */
export const keyedLink = (clock: Clock): Link => ({
  clock,
  source: "gauge",
  describe: "keyed://",
  open: (sink) => {
    sink.event({ kind: "link-up", detail: "typed by hand", at_ms: clock.now_ms(), wall_ms: clock.wall_ms() });
    return { send: () => {}, close: () => Promise.resolve() };
  },
});

/** Nothing comes over such a line, so nothing is read from it. */
export const keyedDriver: Driver<null> = {
  protocol: "keyed",
  reference: "vented",
  link: {},
  start: () => null,
  next: (state, event) => ({ state, readings: [], send: [], unused: event.kind === "bytes" ? event.bytes.length : 0 }),
};
