import { map, Observable, observeOn, queueScheduler, Subject, share, takeWhile, tap } from "rxjs";
import type { Driver } from "../core/driver.ts";
import type { JournalBody, JournalEvent, StampedEvent } from "../core/journal.ts";
import type { Link, OpenLink } from "../core/link.ts";
import type { RecordStart } from "../core/record.ts";
import { BesideLines } from "./besideLines.ts";
import { type Folding, fold, startFold, type Update } from "./fold.ts";
import { noReading } from "./noReading.ts";
import { Quiet } from "./quiet.ts";

export type { Update } from "./fold.ts";

export interface SessionParts {
  link: Link;
  /** Gauges beside the one on the pipe, line 1 first; `driver` is then a joined one. */
  beside?: readonly Link[];
  driver: Driver;
  start: RecordStart;
  /** Called with every event before the driver and the judge see it. */
  journal: (event: JournalEvent) => void;
  /** Things people do: `stop`, `skip-vent`. */
  keys?: Observable<string>;
  /** A recording carries its own timers and its own end. */
  recorded?: boolean;
  /** Judge with spikes left in: for asking "what if" of a recording. */
  unfiltered?: boolean;
  /** Give up with exit 69 when no usable reading came this long after the start; absent: never. */
  patience_ms?: number;
}

/**
 *   link ──┐                                        ┌─ screen, plain lines, voice
 *   beside ┤
 *   keys ──┼─ inlet ─ number ─ journal ─ fold ──────┤
 *   timers ┘    ▲                        │          └─ simulated crew
 *               └──── send, wake, end ◄──┘
 *
 * One pipeline for live, simulated and recorded gauges. Events raised while one is being handled wait their turn (queue
 * scheduler), so the journal's order is the order in which they were judged. Completes after the `end` event.
 */
export function runSession(parts: SessionParts): Observable<Update> {
  return new Observable<Update>((listener) => {
    const session = new Session(parts);
    const subscription = session.updates$.subscribe(listener);
    session.open();
    return () => {
      subscription.unsubscribe();
      session.close();
    };
  }).pipe(share());
}

class Session {
  readonly updates$: Observable<Update>;
  readonly #parts: SessionParts;
  readonly #inlet = new Subject<StampedEvent>();
  readonly #folding: Folding;
  #seq = 0;
  #open: OpenLink | null = null;
  #beside: BesideLines | null = null;
  #besideEvents: { unsubscribe(): void } | null = null;
  #quiet: Quiet | null = null;
  #keys: { unsubscribe(): void } | null = null;
  #cancelPatience: () => void = () => undefined;
  #ending = false;
  #askedOfCrew = "";

  constructor(parts: SessionParts) {
    this.#parts = parts;
    this.#folding = startFold(parts.driver, parts.start, parts.unfiltered);
    this.updates$ = this.#inlet.pipe(
      observeOn(queueScheduler),
      map((event): JournalEvent => ({ ...event, seq: this.#seq++ })),
      tap(parts.journal),
      map((event) => fold(this.#folding, event)),
      takeWhile((update) => update.event.kind !== "end", true),
      tap((update) => this.#act(update)),
    );
  }

  open(): void {
    const { link, keys, recorded, patience_ms } = this.#parts;
    this.#open = link.open({
      event: (event) => this.#inlet.next(event),
      fail: (error) => this.#inlet.error(error),
      done: () => this.#recordingOver(),
    });
    if (recorded) return;
    this.#beside = new BesideLines(this.#parts.beside ?? [], link.clock);
    this.#besideEvents = this.#beside.events$.subscribe((event) => this.#inlet.next(event));
    this.#quiet = new Quiet(link.clock, (body) => this.#append(body));
    this.#keys = keys?.subscribe((action) => this.#key(action)) ?? null;
    if (patience_ms !== undefined) {
      this.#cancelPatience = link.clock.at(link.clock.now_ms() + patience_ms, () => this.#outOfPatience(patience_ms));
    }
  }

  close(): void {
    this.#cancelPatience();
    this.#quiet?.close();
    this.#keys?.unsubscribe();
    this.#besideEvents?.unsubscribe();
    void this.#open?.close();
  }

  /** What follows from an update in the world; nothing of it for a recording. */
  #act(update: Update): void {
    if (this.#parts.recorded || update.event.kind === "end") return;
    for (const bytes of update.send) this.#open?.send(bytes);
    for (const { line, bytes } of update.sendBeside) this.#beside?.send(line, bytes);
    if (update.wakeAt_ms !== undefined) this.#quiet?.wakeAt(update.wakeAt_ms);
    if (update.readings.some((reading) => reading.pressure_Pa !== null)) {
      this.#quiet?.heard(update.event.at_ms);
      this.#cancelPatience();
    }
    this.#tellCrew(update);
    if (update.judge.finished) this.#end("finished", "");
  }

  #tellCrew(update: Update): void {
    const { ask } = update.judge.phases.stage;
    if (ask.say === this.#askedOfCrew) return;
    this.#askedOfCrew = ask.say;
    this.#parts.link.hear?.(ask.act);
  }

  #key(action: string): void {
    this.#append({ kind: "key", action });
    if (action === "stop") this.#end("user", "stopped by the user");
  }

  #end(cause: "finished" | "user" | "link-lost", detail: string): void {
    if (this.#ending) return;
    this.#ending = true;
    this.#append({ kind: "end", cause, detail });
  }

  #recordingOver(): void {
    if (!this.#parts.recorded) this.#end("finished", "the recording is over");
    else if (this.#folding.judge.verdict === null) this.#end("link-lost", "the recording has no end");
    this.#inlet.complete();
  }

  #append(body: JournalBody): void {
    const { clock } = this.#parts.link;
    this.#inlet.next({ ...body, at_ms: clock.now_ms(), wall_ms: clock.wall_ms() });
  }

  #outOfPatience(patience_ms: number): void {
    this.#inlet.error(noReading(this.#parts.link, patience_ms));
  }
}
