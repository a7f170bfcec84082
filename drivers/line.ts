/**
 * Gauges that print a line of text a reading, by themselves or when asked.
 *
 *     100.2 mbar CR LF                      one figure, its unit beside it
 *     12:04:31;1002,7;mbar;17,3 LF          separator=semicolon field=2 decimal=comma unitField=3 airField=4
 *      field 1   2     3    4
 *     → "D" CR      ← +0100.2 CR            query=D terminator=cr unit=mbar
 *     PG;VAC;0.338;bar;E*3C CR LF           separator=semicolon signField=2 field=3 unitField=4 statusField=5 status=E:sensor-fault checksum=xor
 *
 * A unit the gauge speaks wins over `unit`, which only stands in when it says none: someone may press the unit key
 * in the middle of a test. A line whose checksum is wrong is counted as unused and never read. A figure whose unit nobody told is no reading, status `unit-unknown`; we do not guess.
 */
import type { Driver, DriverEntry, DriverEvent, DriverStep, Reading } from "../src/core/driver.ts";
import { type Asking, afterAnswer, askWhenDue, neverAsked } from "./framing/asking.ts";
import { type Layout, layoutOf, OPTIONS, PROTOCOL } from "./framing/lineLayout.ts";
import { lineReader } from "./framing/lineReader.ts";
import { cutLines, type HeldBytes, type Line, noBytes } from "./framing/lines.ts";

/** No gauge line in any public manual we know comes near; a log line of a whole weather station fits. */
const LONGEST_LINE = 256;

interface LineState {
  held: HeldBytes;
  asking: Asking;
}

function lineDriver(layout: Layout): Driver<LineState> {
  const read = lineReader(layout);

  function taken(lines: readonly Line[], at_ms: number): { readings: Reading[]; noise: number } {
    const readings: Reading[] = [];
    let noise = 0;
    for (const line of lines) {
      const reading = read(line, at_ms);
      if (reading === null) noise += line.size;
      else readings.push(reading);
    }
    return { readings, noise };
  }

  function asked(state: LineState, at_ms: number, readings: Reading[], unused: number): DriverStep<LineState> {
    if (layout.question === undefined) return { state, readings, send: [], unused };
    const { asking, ask, wakeAt_ms } = askWhenDue(state.asking, at_ms, layout.pace);
    return {
      state: { held: state.held, asking },
      readings,
      send: ask ? [layout.question] : [],
      unused,
      wakeAt_ms,
    };
  }

  function next(state: LineState, event: DriverEvent): DriverStep<LineState> {
    if (event.kind === "opened") return asked(lineDriverStart(), event.at_ms, [], state.held.bytes.length);
    if (event.kind === "wake") return asked(state, event.at_ms, [], 0);
    const cut = cutLines(state.held, event.bytes, layout.terminator, LONGEST_LINE);
    const { readings, noise } = taken(cut.lines, event.at_ms);
    const asking = layout.question === undefined ? state.asking : readings.reduce(afterAnswer, state.asking);
    return asked({ held: cut.held, asking }, event.at_ms, readings, cut.unused + noise);
  }

  return {
    protocol: PROTOCOL,
    reference: layout.reference,
    link: {},
    start: lineDriverStart,
    next,
  };
}

const lineDriverStart = (): LineState => ({
  held: noBytes,
  asking: neverAsked,
});

export const line: DriverEntry = {
  protocol: PROTOCOL,
  title: "Lines of text with figures in them",
  source: "no one document: number formats after ISO 6093:1985 (NR1, NR2, NR3), the rest described by the gauge's own manual",
  options: OPTIONS,
  create: (options) => lineDriver(layoutOf(options)),
};
