import { readFileSync } from "node:fs";
import type { Driver, DriverEntry, DriverEvent, Reading } from "../../src/core/driver.ts";

/** One line of a gauge fixture after the first; see fixtures/gauges/README.md. */
export interface Happening {
  at_ms: number;
  opened?: true;
  received?: string;
  sent?: string;
  identity?: string;
  reading?: Reading;
  unused?: number;
}

export interface GaugeFixture {
  about: string;
  source: string;
  options: Record<string, string>;
  happenings: Happening[];
}

export function readGaugeFixture(file: string): GaugeFixture {
  const [head, ...rest] = readFileSync(file, "utf8")
    .split("\n")
    .filter((text) => text !== "")
    .map((text): unknown => JSON.parse(text));
  return { ...(head as Omit<GaugeFixture, "happenings">), happenings: rest as Happening[] };
}

const latin1 = (text: string): Uint8Array => Uint8Array.from(text, (letter) => letter.charCodeAt(0));
const toText = (bytes: Uint8Array): string => String.fromCharCode(...bytes);

const eventOf = (happening: Happening, bytes: Uint8Array): DriverEvent =>
  happening.opened === true ? { kind: "opened", at_ms: happening.at_ms } : { kind: "bytes", at_ms: happening.at_ms, bytes };

/** A driver's whole life under a list of inputs, as the list of all that went in and came out. */
class Stage {
  readonly seen: Happening[] = [];
  readonly #driver: Driver;
  #state: unknown;
  #wakeAt_ms: number | undefined;

  constructor(driver: Driver) {
    this.#driver = driver;
    this.#state = driver.start();
  }

  feed(event: DriverEvent): void {
    const { at_ms } = event;
    const step = this.#driver.next(this.#state, event);
    this.#state = step.state;
    this.#wakeAt_ms = step.wakeAt_ms;
    if (step.identity !== undefined) this.seen.push({ at_ms, identity: step.identity });
    for (const reading of step.readings) this.seen.push({ at_ms, reading });
    if (step.unused > 0) this.seen.push({ at_ms, unused: step.unused });
    for (const bytes of step.send) this.seen.push({ at_ms, sent: toText(bytes) });
  }

  wakeBefore(until_ms: number): void {
    while (this.#wakeAt_ms !== undefined && this.#wakeAt_ms < until_ms) this.feed({ kind: "wake", at_ms: this.#wakeAt_ms });
  }
}

/** Plays the fixture's inputs; `chunk` is the most bytes handed over at once. */
export function playGaugeFixture(entry: DriverEntry, fixture: GaugeFixture, chunk = Number.POSITIVE_INFINITY): Happening[] {
  const stage = new Stage(entry.create(fixture.options));
  for (const happening of fixture.happenings) {
    if (happening.opened === undefined && happening.received === undefined) continue;
    stage.wakeBefore(happening.at_ms);
    stage.seen.push(happening);
    const bytes = latin1(happening.received ?? "");
    let from = 0;
    do {
      const size = Math.min(chunk, bytes.length);
      stage.feed(eventOf(happening, bytes.subarray(from, from + size)));
      from += size;
    } while (from < bytes.length);
  }
  stage.wakeBefore((fixture.happenings.at(-1)?.at_ms ?? 0) + 1);
  return stage.seen;
}
