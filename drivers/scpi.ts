/**
 * Instruments that answer SCPI queries over a serial line.
 *
 *     opened →  *IDN? LF      ←  maker,model,serial,version LF        IEEE 488.2-1992 §10.14, four fields
 *               READ? LF      ←  +1.02345E+04 LF                      NR3, IEEE 488.2 §8.7.4
 *               READ? LF      ←  9.91E37 LF                           not a number
 *                                9.9E37, -9.9E37                      above, below what can be measured
 *
 * The three sentinels: SCPI-1999 volume 1 §7.2.1.4 and §7.2.1.5 (section numbers from memory; the values are repeated
 * in instrument makers' programming guides). One question is outstanding at a time; lines that are no answer are
 * counted and passed over, and a question unanswered after `timeout` is put again.
 */
import type { Driver, DriverEntry, DriverEvent, DriverStep, Reading } from "../src/core/driver.ts";
import { type Asking, afterAnswer, askWhenDue, neverAsked, type Pace } from "./framing/asking.ts";
import { readFigure, type SpokenUnit, unitMemory } from "./framing/figure.ts";
import { cutLines, type HeldBytes, type Line, noBytes } from "./framing/lines.ts";
import { type Options, optionalWhole, questionOption, refuseUnknown, unitOption } from "./framing/options.ts";

const PROTOCOL = "scpi";
/** An identification may take 72 characters (IEEE 488.2 §10.14.3, from memory); a list of some readings fits too. */
const LONGEST_REPLY = 256;
const SENTINEL_NAN = 9.91e37;
const SENTINEL_INFINITY = 9.9e37;

const OPTIONS = {
  query: "the query that returns a pressure (default READ?)",
  field: "which of several figures in a reply is the pressure, counted from 1 (default 1)",
  unit: "unit when the reply says none (default Pa)",
  interval: "milliseconds between queries, 10 to 2000 (default 100)",
  timeout: "milliseconds to wait for a reply before asking again, 50 to 2000 (default 1000)",
} as const;

const PASCAL: SpokenUnit = { name: "Pa", factor_Pa: 1 };

interface Settings {
  query: Uint8Array;
  field: number;
  unit: SpokenUnit;
  pace: Pace;
}

interface ScpiState {
  held: HeldBytes;
  /** `identify`: `*IDN?` is outstanding; `late`: given up, but its reply may still come. */
  naming: "identify" | "late" | "done";
  asking: Asking;
}

const toBytes = (text: string): Uint8Array => new TextEncoder().encode(`${text}\n`);
const IDENTIFY = toBytes("*IDN?");
const start = (): ScpiState => ({
  held: noBytes,
  naming: "identify",
  asking: neverAsked,
});

function settingsOf(options: Options): Settings {
  refuseUnknown(PROTOCOL, OPTIONS, options);
  return {
    query: toBytes(questionOption(PROTOCOL, options, "query") ?? "READ?"),
    field: optionalWhole(PROTOCOL, options, "field", 1, 64) ?? 1,
    unit: unitOption(PROTOCOL, options, "unit") ?? PASCAL,
    pace: {
      interval_ms: optionalWhole(PROTOCOL, options, "interval", 10, 2000) ?? 100,
      timeout_ms: optionalWhole(PROTOCOL, options, "timeout", 50, 2000) ?? 1000,
    },
  };
}

/** Sentinels come rounded to whatever digits the instrument prints, so a hair's breadth either side counts. */
function sentinel(value: number): "not-a-number" | "overload" | null {
  const near = (mark: number) => Math.abs(Math.abs(value) - mark) <= mark * 1e-4;
  if (near(SENTINEL_NAN)) return "not-a-number";
  return near(SENTINEL_INFINITY) ? "overload" : null;
}

/** Reads one reply; `null` when it is none. */
function replyReader(settings: Settings): (text: string, at_ms: number) => Reading | null {
  const unitOf = unitMemory();
  return (text, at_ms) => {
    const spot = text.split(",")[settings.field - 1];
    const figure = spot === undefined ? null : readFigure(spot, "point");
    if (figure === null || figure.kind === "noise") return null;
    if (figure.kind === "status") return { at_ms, pressure_Pa: null, unit: null, status: figure.status };
    const spoken = figure.suffix === "" ? null : unitOf(figure.suffix);
    const nothing = sentinel(figure.value);
    if (nothing !== null)
      return {
        at_ms,
        pressure_Pa: null,
        unit: spoken?.name ?? null,
        status: nothing,
      };
    const unit = figure.suffix === "" ? settings.unit : spoken;
    if (unit === null) return { at_ms, pressure_Pa: null, unit: null, status: "unit-unknown" };
    return {
      at_ms,
      pressure_Pa: figure.value * unit.factor_Pa,
      unit: spoken?.name ?? null,
    };
  };
}

/** While `*IDN?` is outstanding any printable text with a word in it names the gauge; a late one must have its four fields. */
function namesGauge(text: string, naming: ScpiState["naming"]): boolean {
  if (naming === "done" || !/^[\x20-\x7e]+$/.test(text) || !/[a-z]{2}/i.test(text)) return false;
  return naming === "identify" || text.split(",").length === 4;
}

function scpiDriver(settings: Settings): Driver<ScpiState> {
  const read = replyReader(settings);

  /** Asks what is due: the name first, then pressures for ever. Adds to `step`. */
  function ask(step: DriverStep<ScpiState>, at_ms: number): void {
    const { asking, naming } = step.state;
    const turn = askWhenDue(asking, at_ms, settings.pace);
    step.wakeAt_ms = turn.wakeAt_ms;
    if (!turn.ask) return;
    const first = asking.sent_ms === null && naming === "identify";
    step.send.push(first ? IDENTIFY : settings.query);
    step.state = { ...step.state, naming: naming === "identify" && !first ? "late" : naming, asking: turn.asking };
  }

  /** Takes one line in. Adds to `step`. */
  function hear(step: DriverStep<ScpiState>, { text, size }: Line, at_ms: number): void {
    const { asking, naming } = step.state;
    const reading = naming === "identify" ? null : read(text, at_ms);
    if (reading === null && namesGauge(text, naming)) {
      step.identity = text.trim();
      // The name is no pressure: the next question need not wait out an interval.
      step.state = { ...step.state, naming: "done", asking: asking.open <= 1 ? neverAsked : afterAnswer(asking) };
    } else if (reading !== null && asking.open > 0) {
      step.readings.push(reading);
      step.state = { ...step.state, asking: afterAnswer(asking) };
    } else step.unused += size;
  }

  function next(state: ScpiState, event: DriverEvent): DriverStep<ScpiState> {
    const step: DriverStep<ScpiState> = { state, readings: [], send: [], unused: 0 };
    if (event.kind === "opened") {
      step.unused = state.held.bytes.length;
      step.state = start();
    }
    if (event.kind === "bytes") {
      const cut = cutLines(state.held, event.bytes, "any", LONGEST_REPLY);
      step.unused = cut.unused;
      step.state = { ...state, held: cut.held };
      for (const line of cut.lines) {
        hear(step, line, event.at_ms);
        // Asked line by line, so that lines in one chunk are read as they would be one by one.
        ask(step, event.at_ms);
      }
    }
    ask(step, event.at_ms);
    return step;
  }

  return {
    protocol: PROTOCOL,
    reference: "vented",
    link: { baud: 9600 },
    start,
    next,
  };
}

export const scpi: DriverEntry = {
  protocol: PROTOCOL,
  title: "SCPI instrument (text queries over a serial line)",
  source: "SCPI-1999, Standard Commands for Programmable Instruments; IEEE 488.2-1992",
  options: OPTIONS,
  create: (options) => scpiDriver(settingsOf(options)),
};
