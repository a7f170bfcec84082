import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { isStaunchError, StaunchError } from "../../src/core/errors.ts";
import { parseGaugeUrl } from "../../src/links/gaugeUrl.ts";

test.each<[string, object]>([
  [
    "serial:///dev/ttyUSB0?protocol=scpi&baud=9600",
    { scheme: "serial", path: "/dev/ttyUSB0", protocol: "scpi", line: { baud: 9600 }, silence_ms: null, options: {} },
  ],
  [
    "serial:///dev/serial/by-id/usb-a%20b?protocol=line&baud=4800&dataBits=7&parity=even&stopBits=2&flow=xonxoff&silence=8000&unit=in%20Hg&query=READ?",
    {
      scheme: "serial",
      path: "/dev/serial/by-id/usb-a b",
      protocol: "line",
      line: { baud: 4800, dataBits: 7, parity: "even", stopBits: 2, flow: "xonxoff" },
      silence_ms: 8000,
      options: { unit: "in Hg", query: "READ?" },
    },
  ],
  ["serial:///dev/ttyUSB0?protocol=line&dtr=off&rts=on&hupcl=on", { line: { dtr: "off", rts: "on", hupcl: "on" }, options: {} }],
  ["serial://com3?protocol=line", { path: "COM3" }],
  ["serial:///COM12?protocol=line", { path: "COM12" }],
  ["SERIAL:///dev/ttyS0?protocol=line&query=A=1+2#", { path: "/dev/ttyS0", options: { query: "A=1+2#" } }],
  ["ble://AA:BB:CC:DD:EE:FF?profile=ess", { scheme: "ble", address: "AA:BB:CC:DD:EE:FF", name: null, protocol: "ess", options: {} }],
  ["ble://Gauge%207?profile=ess", { scheme: "ble", address: null, name: "Gauge 7", protocol: "ess", options: {} }],
  ["sim://?leak=0.8&seed=7", { scheme: "sim", protocol: "line", options: { leak: "0.8", seed: "7" } }],
  ["sim://", { scheme: "sim", protocol: "line", options: {} }],
  ["sim:///?protocol=scpi", { protocol: "scpi", options: {} }],
  ["keyed://", { scheme: "keyed", protocol: "keyed", options: {} }],
])("%s", (url, parts) => expect(parseGaugeUrl(url)).toMatchObject(parts));

describe("what is wrong is named", () => {
  test.each([
    ["/dev/ttyUSB0", "is not a gauge address"],
    ["", "is not a gauge address"],
    ["tcp://10.0.0.1", "unknown scheme tcp"],
    ["serial://dev/ttyUSB0?protocol=line", "names no serial port"],
    ["serial://?protocol=line", "names no serial port"],
    ["serial:///dev/tty%00?protocol=line", "names no serial port"],
    ["serial:///dev/ttyUSB0", "names no protocol"],
    ["serial:///dev/ttyUSB0?protocol=line&baud=fast", 'baud="fast"'],
    ["serial:///dev/ttyUSB0?protocol=line&baud=9600.5", 'baud="9600.5"'],
    ["serial:///dev/ttyUSB0?protocol=line&baud=0", 'baud="0"'],
    ["serial:///dev/ttyUSB0?protocol=line&dataBits=9", 'dataBits="9"'],
    ["serial:///dev/ttyUSB0?protocol=line&parity=E", 'parity="E"'],
    ["serial:///dev/ttyUSB0?protocol=line&stopBits=3", 'stopBits="3"'],
    ["serial:///dev/ttyUSB0?protocol=line&flow=yes", 'flow="yes"'],
    ["serial:///dev/ttyUSB0?protocol=line&dtr=high", 'dtr="high"'],
    ["serial:///dev/ttyUSB0?protocol=line&flow=rtscts&rts=off", "rts=off does not go with flow=rtscts"],
    ["serial:///dev/ttyUSB0?protocol=line&silence=10", 'silence="10"'],
    ["serial:///dev/ttyUSB0?protocol=line&baud", '"baud" no value'],
    ["serial:///dev/ttyUSB0?protocol=line&unit=%zz", "has a %"],
    ["serial:///dev/ttyUSB0?protocol=line&unit=Pa&unit=kPa", "unit twice"],
    ["ble://AA:BB?profile=ess", "names no Bluetooth device"],
    ["ble://AA:BB:CC:DD:EE:FF", "names no profile"],
    ["sim://pipe?leak=1", "names a place"],
  ])("%j", (url, words) => {
    try {
      parseGaugeUrl(url);
      expect.unreachable();
    } catch (error) {
      expect(isStaunchError(error, "gauge-url") && error.exit).toBe(64);
      expect(String(error)).toContain(words);
    }
  });
});

test("an option called like a part of every object is an option like any other", () => {
  expect(Object.entries(parseGaugeUrl("sim://?__proto__=1&toString=2").options ?? {})).toEqual([
    ["__proto__", "1"],
    ["toString", "2"],
  ]);
});

test("every option survives being written into an address", () => {
  const name = fc.stringMatching(/^[a-z]{1,8}$/).filter((one) => one !== "protocol");
  fc.assert(
    fc.property(fc.dictionary(name, fc.string(), { maxKeys: 5, noNullPrototype: true }), (options) => {
      const query = Object.entries(options).map(([key, value]) => `${key}=${encodeURIComponent(value)}`);
      expect(parseGaugeUrl(`sim://?${query.join("&")}`).options).toEqual(options);
    }),
  );
});

test("anything at all is an address or a usage error", () => {
  fc.assert(
    fc.property(fc.string(), fc.constantFrom("", "serial://", "serial:///dev/x?", "ble://", "sim://?", "keyed://?"), (text, head) => {
      try {
        parseGaugeUrl(head + text);
      } catch (error) {
        expect(error).toBeInstanceOf(StaunchError);
      }
    }),
  );
});
