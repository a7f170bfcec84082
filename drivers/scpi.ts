/**
 * Instruments that answer SCPI queries over a serial line.
 *
 *     opened →  *IDN? LF      ←  maker,model,serial,version LF        IEEE 488.2-1992 §10.14, four fields
 *               READ? LF      ←  +1.02345E+04 LF                      NR3, IEEE 488.2 §8.7.4
 *               READ? LF      ←  9.91E37 LF                           not a number
 *                                9.9E37, -9.9E37                      above, below what can be measured
 *               SYST:ERR? LF  ←  -113,"Undefined header" LF           SCPI-1999 volume 2 §21.8 (from memory); until 0,"No error"
 *
 * One question is outstanding at a time; lines that are no answer are
 * counted and passed over, and a question unanswered after `timeout` is put again. After an error, an answer that is none, or
 * two questions in a row without one, the error queue is asked for; what it holds is a reading without value, its number the reason.
 */
import type { Driver, DriverEntry, DriverEvent, DriverStep } from "../src/core/driver.ts";
import { type Asking, afterAnswer, askWhenDue, neverAsked, type Pace } from "./framing/asking.ts";
import {
  afterError,
  afterQuestion,
  asksForErrors,
  ERROR_QUERY,
  type Errors,
  errorNumber,
  noErrors,
  suspect,
  trusted,
} from "./framing/errorQueue.ts";
import type { SpokenUnit } from "./framing/figure.ts";
import { cutLines, type HeldBytes, type Line, noBytes } from "./framing/lines.ts";
import { choice, type Options, optionalWhole, questionOption, refuseUnknown, unitOption } from "./framing/options.ts";
import { replyReader } from "./framing/scpiReply.ts";

const PROTOCOL = "scpi";
/** An identification may take 72 characters (IEEE 488.2 §10.14.3, from memory); a list of some readings fits too. */
const LONGEST_REPLY = 256;

const OPTIONS = {
  query: "the query that returns a pressure (default READ?)",
  field: "which of several figures in a reply is the pressure, counted from 1 (default 1)",
  unit: "unit when the reply says none (default Pa)",
  interval: "milliseconds between queries, 10 to 2000 (default 100)",
  timeout: "milliseconds to wait for a reply before asking again, 50 to 2000 (default 1000)",
  reference: "vented or absolute: what the pressure stands on (default vented)",
} as const;

const PASCAL: SpokenUnit = { name: "Pa", factor_Pa: 1 };

interface Settings {
  query: Uint8Array;
  field: number;
  unit: SpokenUnit;
  pace: Pace;
  reference: "vented" | "absolute";
}

interface ScpiState {
  held: HeldBytes;
  /** `identify`: `*IDN?` is outstanding; `late`: given up, but its reply may still come. */
  naming: "identify" | "late" | "done";
  asking: Asking;
  errors: Errors;
}

const toBytes = (text: string): Uint8Array => new TextEncoder().encode(`${text}\n`);
const IDENTIFY = toBytes("*IDN?");
const start = (): ScpiState => ({
  held: noBytes,
  naming: "identify",
  asking: neverAsked,
  errors: noErrors,
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
    reference: choice(PROTOCOL, options, "reference", ["vented", "absolute"], "vented"),
  };
}

/** While `*IDN?` is outstanding any printable text with a word in it names the gauge; a late one must have its four fields. */
function namesGauge(text: string, naming: ScpiState["naming"]): boolean {
  if (naming === "done" || !/^[\x20-\x7e]+$/.test(text) || !/[a-z]{2}/i.test(text)) return false;
  return naming === "identify" || text.split(",").length === 4;
}

function scpiDriver(settings: Settings): Driver<ScpiState> {
  const read = replyReader(settings.field, settings.unit);

  /** Asks what is due: the name first, then errors there may be, then pressures for ever. Adds to `step`. */
  function ask(step: DriverStep<ScpiState>, at_ms: number): void {
    const { asking, naming } = step.state;
    const turn = askWhenDue(asking, at_ms, settings.pace);
    step.wakeAt_ms = turn.wakeAt_ms;
    if (!turn.ask) return;
    const first = asking.sent_ms === null && naming === "identify";
    const errors = first ? noErrors : afterQuestion(step.state.errors, asking.sent_ms !== null && !asking.answered);
    const forErrors = !first && asksForErrors(errors, at_ms);
    step.send.push(first ? IDENTIFY : forErrors ? ERROR_QUERY : settings.query);
    step.state = {
      ...step.state,
      naming: naming === "identify" && !first ? "late" : naming,
      asking: turn.asking,
      errors: forErrors ? { ...errors, due: false, asked_ms: at_ms } : errors,
    };
  }

  /** Takes one line in. Adds to `step`. */
  function hear(step: DriverStep<ScpiState>, { text, size }: Line, at_ms: number): void {
    const { asking, naming, errors } = step.state;
    const error = errorNumber(text);
    const reading = naming === "identify" || error !== null ? null : read(text, at_ms);
    if (error !== null && asking.open > 0) {
      // An instrument that has no name answers its question with an error.
      if (naming === "identify") step.state = { ...step.state, naming: "late" };
      if (error === 0) step.unused += size;
      else step.readings.push({ at_ms, pressure_Pa: null, unit: null, status: `instrument-error ${error}` });
      step.state = { ...step.state, asking: afterAnswer(asking), errors: afterError(errors, error) };
    } else if (reading === null && error === null && namesGauge(text, naming)) {
      step.identity = text.trim();
      // The name is no pressure: the next question need not wait out an interval.
      step.state = { ...step.state, naming: "done", asking: asking.open <= 1 ? neverAsked : afterAnswer(asking) };
    } else if (reading !== null && asking.open > 0) {
      step.readings.push(reading);
      step.state = { ...step.state, asking: afterAnswer(asking), errors: trusted(errors) };
    } else {
      step.unused += size;
      if (naming !== "identify" && (asking.open > 0 || error !== null)) step.state = { ...step.state, errors: suspect(errors) };
    }
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
    reference: settings.reference,
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
