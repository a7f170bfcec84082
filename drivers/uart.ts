/**
 * Gauges that print lines of text through a pair of Bluetooth characteristics: what `line` reads from a wire, in the pieces it is notified in.
 *
 *     gauge ── notify (tx) ──► "100.2 mb" "ar\r\n" ──► line → reading
 *     gauge ◄─ write  (rx) ─── "D\r\n"                        with query=D
 *
 * There is no one UUID for it: each maker's three are told in the options, and all else as for protocol line.
 */
import type { Driver, DriverEntry, DriverEvent, DriverStep } from "../src/core/driver.ts";
import { usageError } from "../src/core/errors.ts";
import { OPTIONS as LINE_OPTIONS } from "./framing/lineLayout.ts";
import { type Options, refuseUnknown } from "./framing/options.ts";
import { ADDRESS_LABEL, addressIn, cutRecords, labelOf } from "./framing/records.ts";
import { line } from "./line.ts";

const PROTOCOL = "uart";
const UUIDS = {
  service: "UUID of the service that holds both characteristics",
  notify: "UUID of the characteristic the gauge notifies its text by (its tx)",
  write: "UUID of the characteristic the gauge is written to (its rx); needed with query",
} as const;
const OPTIONS = { ...UUIDS, ...LINE_OPTIONS } as const;

/** Four digits or the whole 128 bits, hyphens or not; `undefined` when not told. */
function uuidOption(options: Options, name: keyof typeof UUIDS): string | undefined {
  const text = options[name];
  if (text === undefined) return undefined;
  const uuid = text.replaceAll("-", "").toLowerCase();
  if (/^([0-9a-f]{4}|[0-9a-f]{32})$/.test(uuid)) return uuid;
  throw usageError(
    "gauge-option",
    `${name}=${JSON.stringify(text)} is no UUID.`,
    "Write 4 or 32 hexadecimal digits, such as ffe1 or 0000ffe1-0000-1000-8000-00805f9b34fb.",
  );
}

function needed(options: Options, name: keyof typeof UUIDS, why: string): string {
  const uuid = uuidOption(options, name);
  if (uuid !== undefined) return uuid;
  throw usageError("gauge-option", `Protocol ${PROTOCOL} needs ${name}=…: ${why}.`, `${name} is the ${UUIDS[name]}.`);
}

interface UartState {
  held: Uint8Array;
  text: unknown;
}

function uartDriver(reader: Driver, label: number, bluetooth: Driver["bluetooth"] & object): Driver<UartState> {
  const fits = (one: number, length: number): boolean =>
    one === ADDRESS_LABEL ? length === 17 || length === 32 : one === label && length > 0;

  function take(state: UartState, at_ms: number, bytes: Uint8Array): DriverStep<UartState> {
    const { held, records, unused } = cutRecords(state.held, bytes, fits);
    const step: DriverStep<UartState> = { state: { held, text: state.text }, readings: [], send: [], unused };
    const text = records.filter((one) => one.label === label).flatMap((one) => [...one.value]);
    // Even without a byte of text: a step that does not wish for a wake again has given it up.
    const inner = reader.next(state.text, { kind: "bytes", at_ms, bytes: Uint8Array.from(text) });
    const address = records.map(addressIn).findLast((one) => one !== null);
    return {
      ...inner,
      state: { held: step.state.held, text: inner.state },
      unused: unused + inner.unused,
      ...(address == null ? {} : { identity: address }),
    };
  }

  function next(state: UartState, event: DriverEvent): DriverStep<UartState> {
    if (event.kind === "bytes") return take(state, event.at_ms, event.bytes);
    const inner = reader.next(state.text, event);
    const lost = event.kind === "opened" ? state.held.length : 0;
    const held = event.kind === "opened" ? new Uint8Array(0) : state.held;
    return { ...inner, state: { held, text: inner.state }, unused: inner.unused + lost };
  }

  return {
    protocol: PROTOCOL,
    reference: reader.reference,
    link: {},
    bluetooth,
    start: () => ({ held: new Uint8Array(0), text: reader.start() }),
    next,
  };
}

function create(options: Options): Driver<UartState> {
  refuseUnknown(PROTOCOL, OPTIONS, options);
  const service = needed(options, "service", "the gauge's makers choose their own");
  const notify = needed(options, "notify", "the gauge's makers choose their own");
  const write = options["query"] === undefined ? uuidOption(options, "write") : needed(options, "write", "its query must go somewhere");
  const label = labelOf(notify);
  const told = Object.fromEntries(Object.entries(options).filter(([name]) => !Object.hasOwn(UUIDS, name)));
  const bluetooth = { services: [service], notify: [{ uuid: notify, label }], ...(write === undefined ? {} : { write }) };
  return uartDriver(line.create(told), label, bluetooth);
}

export const uart: DriverEntry = {
  protocol: PROTOCOL,
  title: "Lines of text over a Bluetooth serial service",
  source:
    "no one document: text as for protocol line over notifications (Bluetooth Core 5.4, Vol 3 Part G §4.10); UUIDs from the gauge's own manual",
  options: OPTIONS,
  create,
};
