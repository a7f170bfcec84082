/**
 * Gauges and transmitters that are read as Modbus RTU registers; we are the one that asks.
 *
 *     → 01 03 00 00 00 02 C4 0B              gauge 1, function 3, from register 0, two registers
 *     ← 01 03 04 44 7A 00 00 CF 1A           float32 0x447A0000 = 1000
 *     ← 01 83 06 C1 32                       exception 6: busy, no value this time
 *
 * Frames: drivers/framing/modbusFrame.ts; numbers: drivers/framing/registers.ts. One question is outstanding at a time
 * (MODBUS over Serial Line V1.02 §2.1: one exchange after another), put again after `timeout`; what is no answer to it is
 * counted and passed over. An exception (Application Protocol V1.1b3 §7) is an answer without a value, its name the status.
 */
import type { Driver, DriverEntry, DriverEvent, DriverStep, Reading } from "../src/core/driver.ts";
import { type Asking, afterAnswer, askWhenDue, neverAsked } from "./framing/asking.ts";
import { type Answer, cutAnswer, exceptionName, questionFrame } from "./framing/modbusFrame.ts";
import { type Field, type ModbusLayout, modbusLayout, OPTIONS, PROTOCOL } from "./framing/modbusLayout.ts";
import { registerValue } from "./framing/registers.ts";

interface ModbusState {
  /** What may be the beginning of an answer; shorter than one. */
  held: Uint8Array;
  asking: Asking;
}

const NOTHING = new Uint8Array(0);
const start = (): ModbusState => ({ held: NOTHING, asking: neverAsked });

/** Makes a reading of an answer. */
function answerReader(layout: ModbusLayout): (answer: Answer, at_ms: number) => Reading {
  const { question, order, pressure, air, ambient } = layout;
  const raw = (data: Uint8Array, { register, type }: Field): number => registerValue(data, 2 * (register - question.register), type, order);

  /** `null` where there is no field or the gauge has no value for it. */
  function besides(data: Uint8Array, field: Field): number | null {
    const value = raw(data, field);
    return Number.isFinite(value) ? value * field.scale + field.offset : null;
  }

  return (answer, at_ms) => {
    const reading: Reading = { at_ms, pressure_Pa: null, unit: null };
    if (answer.kind === "exception") return { ...reading, status: exceptionName(answer.code) };
    const value = raw(answer.data, pressure);
    if (Number.isFinite(value)) reading.pressure_Pa = value * pressure.scale + pressure.offset;
    else reading.status = Number.isNaN(value) ? "not-a-number" : "overload";
    if (air !== null) reading.air_C = besides(answer.data, air);
    if (ambient !== null) reading.ambient_Pa = besides(answer.data, ambient);
    return reading;
  };
}

function joined(head: Uint8Array, tail: Uint8Array): Uint8Array {
  if (head.length === 0) return tail;
  const whole = new Uint8Array(head.length + tail.length);
  whole.set(head);
  whole.set(tail, head.length);
  return whole;
}

function modbusDriver(layout: ModbusLayout): Driver<ModbusState> {
  const question = questionFrame(layout.question);
  const read = answerReader(layout);

  /** Asks when it is time to. Adds to `step`. */
  function ask(step: DriverStep<ModbusState>, at_ms: number): void {
    const turn = askWhenDue(step.state.asking, at_ms, layout.pace);
    step.wakeAt_ms = turn.wakeAt_ms;
    if (!turn.ask) return;
    step.send.push(question.slice());
    step.state = { ...step.state, asking: turn.asking };
  }

  /** Takes bytes in, answer by answer, so that they are read as they would be one by one. Adds to `step`. */
  function hear(step: DriverStep<ModbusState>, bytes: Uint8Array, at_ms: number): void {
    let rest = joined(step.state.held, bytes);
    while (rest.length > 0 && step.state.asking.open > 0) {
      const cut = cutAnswer(rest, layout.question);
      step.unused += cut.unused;
      rest = cut.rest;
      if (cut.answer === null) break;
      step.readings.push(read(cut.answer, at_ms));
      step.state = { ...step.state, asking: afterAnswer(step.state.asking) };
      ask(step, at_ms);
    }
    // Nobody is asked: what comes is no answer, and no beginning of one.
    if (step.state.asking.open === 0) {
      step.unused += rest.length;
      rest = NOTHING;
    }
    step.state = { ...step.state, held: rest.slice() };
  }

  function next(state: ModbusState, event: DriverEvent): DriverStep<ModbusState> {
    const step: DriverStep<ModbusState> = { state, readings: [], send: [], unused: 0 };
    if (event.kind === "opened") {
      step.unused = state.held.length;
      step.state = start();
    }
    if (event.kind === "bytes") hear(step, event.bytes, event.at_ms);
    ask(step, event.at_ms);
    return step;
  }

  return {
    protocol: PROTOCOL,
    reference: layout.reference,
    // V1.02 §2.5.1 and §3.2 (the clauses from memory): even parity and 19200 baud are what a device should come with.
    link: { baud: 19_200, dataBits: 8, parity: "even", stopBits: 1 },
    start,
    next,
  };
}

export const modbus: DriverEntry = {
  protocol: PROTOCOL,
  title: "Modbus RTU gauge or transmitter (registers over a serial line)",
  source: "MODBUS over Serial Line Specification V1.02; MODBUS Application Protocol V1.1b3",
  options: OPTIONS,
  create: (options) => modbusDriver(modbusLayout(options)),
};
