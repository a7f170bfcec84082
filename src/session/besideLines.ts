import { merge, Observable } from "rxjs";
import { isStaunchError } from "../core/errors.ts";
import type { StampedEvent } from "../core/journal.ts";
import type { Clock, Link, OpenLink } from "../core/link.ts";

/** The lines of gauges beside the one on the pipe: their events in one stream, each with the line it came from (1 first). */
export class BesideLines {
  /** Opens them when subscribed to, closes them after. A line that gives up ends in `link-down`; the others go on. */
  readonly events$: Observable<StampedEvent>;
  readonly #open = new Map<number, OpenLink>();

  /** `clock`: of the gauge on the pipe; a line with a clock of its own is stamped by this one, or two times would stand side by side. */
  constructor(links: readonly Link[], clock: Clock) {
    this.events$ = merge(...links.map((link, i) => this.#line(link, i + 1, clock)));
  }

  send(line: number, bytes: Uint8Array): void {
    this.#open.get(line)?.send(bytes);
  }

  #line(link: Link, line: number, clock: Clock): Observable<StampedEvent> {
    return new Observable((listener) => {
      const now = (): { at_ms: number; wall_ms: number } => ({ at_ms: clock.now_ms(), wall_ms: clock.wall_ms() });
      const open = link.open({
        event: (event) => listener.next({ ...event, ...(link.clock === clock ? {} : now()), line }),
        fail: (error) => {
          listener.next({ kind: "link-down", reason: reasonOf(error), ...now(), line });
          listener.complete();
        },
        done: () => listener.complete(),
      });
      this.#open.set(line, open);
      return () => {
        this.#open.delete(line);
        void open.close();
      };
    });
  }
}

const reasonOf = (error: unknown): string => (isStaunchError(error) ? error.message : "it fell over.");
