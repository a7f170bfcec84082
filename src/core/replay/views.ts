import type { LiveView } from "../judging/view.ts";
import { float64, uint32 } from "./growing.ts";

const toColumn = (value: number | null): number => value ?? Number.NaN;
const fromColumn = (value: number): number | null => (Number.isNaN(value) ? null : value);

/**
 * What a screen showed after every event. Figures that move with each reading are columns; all else (the sentence, the projection, the
 * alarm) changes once a second at most and is kept once for as long as it stands. So every moment is at hand, forwards and backwards,
 * without a second run of a judge that cannot be set back.
 */
export class Views {
  readonly #slow: LiveView[] = [];
  readonly #slowOf = uint32();
  readonly #at_s = float64();
  readonly #pressure_Pa = float64();
  readonly #pressureAt_s = float64();
  readonly #timeLeft_s = float64();
  readonly #elapsed_s = float64();
  readonly #minimumLeft_s = float64();
  readonly #rate_Hz = float64();
  readonly #silent_s = float64();
  readonly #readings = uint32();

  get length(): number {
    return this.#at_s.length;
  }

  /** Distinct states of what changes slowly. */
  get kept(): number {
    return this.#slow.length;
  }

  add(view: LiveView): void {
    const last = this.#slow.at(-1);
    if (last === undefined || !sameSlowly(last, view)) this.#slow.push(copied(view));
    this.#slowOf.push(this.#slow.length - 1);
    this.#at_s.push(view.at_s);
    this.#pressure_Pa.push(toColumn(view.pressure_Pa));
    this.#pressureAt_s.push(toColumn(view.pressureAt_s));
    this.#timeLeft_s.push(toColumn(view.timeLeft_s));
    this.#elapsed_s.push(view.hold?.elapsed_s ?? 0);
    this.#minimumLeft_s.push(view.settle?.minimumLeft_s ?? 0);
    this.#rate_Hz.push(toColumn(view.gauge.rate_Hz));
    this.#silent_s.push(toColumn(view.gauge.silent_s));
    this.#readings.push(view.gauge.readings);
  }

  trim(): void {
    const columns = [this.#at_s, this.#pressure_Pa, this.#pressureAt_s, this.#timeLeft_s];
    for (const column of [...columns, this.#elapsed_s, this.#minimumLeft_s, this.#rate_Hz, this.#silent_s]) column.trim();
    this.#slowOf.trim();
    this.#readings.trim();
  }

  /** The view after event `i`, as it was. */
  at(i: number): LiveView {
    const slow = this.#slow[this.#slowOf.at(i)];
    if (slow === undefined) throw new RangeError(`no view ${i}`);
    return {
      ...slow,
      at_s: this.#at_s.at(i),
      pressure_Pa: fromColumn(this.#pressure_Pa.at(i)),
      pressureAt_s: fromColumn(this.#pressureAt_s.at(i)),
      timeLeft_s: fromColumn(this.#timeLeft_s.at(i)),
      settle: slow.settle && { ...slow.settle, minimumLeft_s: this.#minimumLeft_s.at(i) },
      hold: slow.hold && { ...slow.hold, elapsed_s: this.#elapsed_s.at(i) },
      gauge: {
        ...slow.gauge,
        readings: this.#readings.at(i),
        rate_Hz: fromColumn(this.#rate_Hz.at(i)),
        silent_s: fromColumn(this.#silent_s.at(i)),
      },
    };
  }

  /** True when a page of text on the screen begins with event `i`: the phase changed, or the test was over. */
  turnsPage(i: number): boolean {
    if (i === 0) return true;
    const here = this.#slow[this.#slowOf.at(i)];
    const before = this.#slow[this.#slowOf.at(i - 1)];
    return here !== before && (here?.phase !== before?.phase || here?.finished !== before?.finished);
  }
}

/** The judge may go on changing what it handed out. */
const copied = (view: LiveView): LiveView => ({
  ...view,
  ask: { ...view.ask, act: { ...view.ask.act } },
  settle: view.settle && { ...view.settle },
  hold: view.hold && { ...view.hold },
  ...(view.water && { water: { ...view.water } }),
  ...(view.keyed && { keyed: { ...view.keyed } }),
  gauge: { ...view.gauge },
});

/** Columns, and the parts that are compared for themselves. */
const OF_VIEW = new Set(["at_s", "pressure_Pa", "pressureAt_s", "timeLeft_s", "ask", "settle", "hold", "water", "keyed", "gauge"]);
const NONE = new Set<string>();
const OF_HOLD = new Set(["elapsed_s"]);
const OF_SETTLE = new Set(["minimumLeft_s"]);
const OF_GAUGE = new Set(["readings", "rate_Hz", "silent_s"]);

/** Whether two views differ in nothing but the columns; a verdict is compared as the object it is. */
const sameSlowly = (a: LiveView, b: LiveView): boolean =>
  alike(a, b, OF_VIEW) &&
  alike(a.gauge, b.gauge, OF_GAUGE) &&
  alike(a.hold, b.hold, OF_HOLD) &&
  alike(a.settle, b.settle, OF_SETTLE) &&
  (a.ask === b.ask || (a.ask.say === b.ask.say && alike(a.ask.act, b.ask.act, NONE))) &&
  alike(a.water, b.water, NONE) &&
  alike(a.keyed, b.keyed, NONE);

/** Field by field, one level deep, those named left out; asked at every event, so nothing is made for it. */
function alike(a: object | null | undefined, b: object | null | undefined, but: ReadonlySet<string>): boolean {
  if (a === b) return true;
  if (a == null || b == null) return false;
  let fields = 0;
  for (const name in b) {
    fields++;
    if (!but.has(name) && !Object.is(Reflect.get(a, name), Reflect.get(b, name))) return false;
  }
  for (const _name in a) fields--;
  return fields === 0;
}
