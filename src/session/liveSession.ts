import { map, Observable, observeOn, queueScheduler, Subject, share, takeWhile, tap } from "rxjs";
import type { Driver, Reading } from "../core/driver.ts";
import type { JournalBody, StampedEvent } from "../core/journal.ts";
import type { Link, OpenLink } from "../core/link.ts";
import type { LiveGauge } from "../core/live/liveGauge.ts";
import { driverEvent } from "./fold.ts";
import { noReading } from "./noReading.ts";
import { Quiet } from "./quiet.ts";

/** What one event led to. */
export interface LiveUpdate {
  event: StampedEvent;
  readings: readonly Reading[];
  gauge: LiveGauge;
}

export interface LiveParts {
  link: Link;
  driver: Driver;
  gauge: LiveGauge;
  /** `stop` ends it; others stand in the stream as keys. */
  keys: Observable<string>;
  /** Ends by itself after so long, by the link's own clock; absent: never. */
  seconds?: number;
  /** Give up with exit 69 when no usable reading came this long after the start. */
  patience_ms: number;
}

/** A link and a driver with no test behind them: the same events and drivers as a test's session, folded into a `LiveGauge`, kept nowhere. */
export function watchGauge(parts: LiveParts): Observable<LiveUpdate> {
  return new Observable<LiveUpdate>((listener) => {
    const watch = new Watch(parts);
    const subscription = watch.updates$.subscribe(listener);
    watch.open();
    return () => {
      subscription.unsubscribe();
      watch.close();
    };
  }).pipe(share());
}

class Watch {
  readonly updates$: Observable<LiveUpdate>;
  readonly #parts: LiveParts;
  readonly #inlet = new Subject<StampedEvent>();
  #driverState: unknown;
  #open: OpenLink | null = null;
  #quiet: Quiet | null = null;
  #undo: (() => void)[] = [];

  constructor(parts: LiveParts) {
    this.#parts = parts;
    this.#driverState = parts.driver.start();
    this.updates$ = this.#inlet.pipe(
      observeOn(queueScheduler),
      map((event) => this.#fold(event)),
      tap((update) => this.#heard(update)),
      takeWhile((update) => update.event.kind !== "end", true),
    );
  }

  open(): void {
    const { link, keys, seconds, patience_ms } = this.#parts;
    this.#open = link.open({
      event: (event) => this.#inlet.next(event),
      fail: (error) => this.#inlet.error(error),
      done: () => this.#end("the gauge has ended"),
    });
    this.#quiet = new Quiet(link.clock, (body) => this.#append(body));
    const subscription = keys.subscribe((action) => {
      if (action === "stop") this.#end("stopped by the user");
      else this.#append({ kind: "key", action });
    });
    const { clock } = link;
    this.#undo = [
      () => subscription.unsubscribe(),
      clock.at(clock.now_ms() + patience_ms, () => {
        if (this.#parts.gauge.readings === 0) this.#inlet.error(noReading(link, patience_ms));
      }),
    ];
    if (seconds !== undefined) this.#undo.push(clock.at(clock.now_ms() + seconds * 1000, () => this.#end("its time is over")));
  }

  close(): void {
    for (const step of this.#undo) step();
    this.#quiet?.close();
    void this.#open?.close();
  }

  #fold(event: StampedEvent): LiveUpdate {
    const { driver, gauge } = this.#parts;
    gauge.time(event.at_ms);
    if (event.kind === "link-up" || event.kind === "link-down") gauge.link(event.kind === "link-up");
    const asked = driverEvent({ ...event, seq: 0 });
    if (asked === null) return { event, readings: [], gauge };
    const step = driver.next(this.#driverState, asked);
    this.#driverState = step.state;
    if (step.unused > 0) gauge.health.unused(step.unused);
    if (step.identity !== undefined) gauge.health.named(step.identity);
    for (const reading of step.readings) gauge.reading(reading);
    for (const bytes of step.send) this.#open?.send(bytes);
    this.#quiet?.wakeAt(step.wakeAt_ms ?? null);
    return { event, readings: step.readings, gauge };
  }

  #heard({ readings, event }: LiveUpdate): void {
    if (readings.some((reading) => reading.pressure_Pa !== null)) this.#quiet?.heard(event.at_ms);
  }

  #end(detail: string): void {
    this.#append({ kind: "end", cause: "finished", detail });
  }

  #append(body: JournalBody): void {
    const { clock } = this.#parts.link;
    this.#inlet.next({ ...body, at_ms: clock.now_ms(), wall_ms: clock.wall_ms() });
  }
}
