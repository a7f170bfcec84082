import fc from "fast-check";
import { expect, test } from "vitest";
import { line } from "../../drivers/line.ts";
import { isStaunchError } from "../../src/core/errors.ts";
import { gaugeTomlText, readGaugeToml } from "../../src/intake/gaugeToml.ts";

const WHOLE = `# invented
name = "trailer gauge"
protocol = "line"
[serial]
baud = 19200
parity = "even"
stopBits = 2
[options]
field = 2
separator = ";"
decimal = "comma"
[options.status]
OL = "overload"
E = "sensor-fault"
`;

function refusal(text: string, name = "my gauge.toml"): { message: string; hint: string } {
  try {
    readGaugeToml(text, name);
  } catch (error) {
    if (isStaunchError(error, "gauge-toml") && error.exit === 65) return error;
    throw error;
  }
  throw new Error(`taken: ${text}`);
}

test("a file as people write it becomes options a driver takes", () => {
  const gauge = readGaugeToml(`\uFEFF${WHOLE.replaceAll("\n", "\r\n")}`, "x.toml");
  expect(gauge).toEqual({
    name: "trailer gauge",
    protocol: "line",
    options: { field: "2", separator: ";", decimal: "comma", status: "OL:overload,E:sensor-fault" },
    line: { baud: 19_200, parity: "even", stopBits: 2 },
  });
  const heard = line.create(gauge.options);
  const { readings } = heard.next(heard.start(), { kind: "bytes", at_ms: 1, bytes: new TextEncoder().encode("a;1,5 Pa\na;E\n") });
  expect(readings.map((one) => one.pressure_Pa ?? one.status)).toEqual([1.5, "sensor-fault"]);
});

test("the port may be named", () => {
  expect(readGaugeToml('name = "g"\nprotocol = "xdr"\nport = "/dev/ttyUSB0"', "x").port).toBe("/dev/ttyUSB0");
});

test("name and protocol are enough", () => {
  expect(readGaugeToml('name = "g"\nprotocol = "xdr"', "x")).toEqual({ name: "g", protocol: "xdr", options: {}, line: {} });
});

const HEAD = 'name = "g"\nprotocol = "line"\n';
test.each([
  ["", "name is missing; protocol is missing"],
  ['name = "g"', "protocol is missing"],
  ["name = 5\nprotocol = 'line'", "name must be text"],
  ["name = ''\nprotocol = 'line'", "name is empty"],
  ['name = "a\\u001b[2Jb"\nprotocol = "line"', "name holds control characters"],
  ['name = "g"\nprotocol = "../line"', "protocol must be a word"],
  [`${HEAD}colour = 1`, "colour is no key of a gauge file"],
  [`${HEAD}serial = 9600`, "serial must be a table, [serial]"],
  [`${HEAD}[serial]\nbaud = "fast"`, "serial.baud must be a whole number from 50 to 4000000"],
  [`${HEAD}[serial]\nbaud = 9600.5`, "serial.baud must be a whole number"],
  [`${HEAD}[serial]\nbaud = 1`, "serial.baud must be a whole number from 50"],
  [`${HEAD}[serial]\nparity = "some"`, "serial.parity must be one of none, even, odd, mark, space"],
  [`${HEAD}[serial]\nspeed = 9600`, "serial.speed is no key of a gauge file"],
  [`${HEAD}[options]\nfield = 1.5`, "options.field must be text, a whole number or true or false"],
  [`${HEAD}[options]\nfield = [1]`, "options.field must be text, a whole number or true or false"],
  [`${HEAD}[options]\nfield = 1979-05-27`, "options.field must be text"],
  [`${HEAD}[options]\n"a=b" = 1`, "options.a=b is no name of an option"],
  [`${HEAD}[options.status]\nOL = 5`, "options.status.OL must be text"],
  [`${HEAD}[options.status]\n"a,b" = "overload"`, "options.status.a,b"],
  [`${HEAD}[options.field]\nx = 1`, "options.field must be text"],
  [`${HEAD}x = `, "is not TOML: line 3, column"],
  [`${HEAD}name = "again"`, "is not TOML: line 3"],
  [`${HEAD}__proto__ = 5`, "is not TOML: line 3"],
  [`${HEAD}x = [[[[[[[[1]]]]]]]]`, "is not TOML: line 3"],
  [`${HEAD}# ${"x".repeat(70_000)}`, "is longer than 64 kB"],
])("%j is refused: %s", (text, what) => expect(refusal(text).message).toContain(what));

test("a file's name and keys cannot write on the terminal", () => {
  const { message } = refusal('"\\u001b[2Jz" = 1', "a\u001b[2Jb");
  expect(message).not.toContain("\u001b");
  expect(message.startsWith('"ab" ')).toBe(true);
});

test("a megabyte of nesting neither throws anything else nor takes long", () => {
  for (const text of [
    `x = ${"[".repeat(30_000)}`,
    `${"a.".repeat(20_000)}a = 1`,
    `[${"a.".repeat(20_000)}a]`,
    `x = ${"{a=".repeat(20_000)}`,
  ])
    expect(refusal(text).message.length).toBeLessThan(400);
});

test("what is written is read back the same", () => {
  const text = fc.string({ unit: "grapheme-ascii", maxLength: 30 });
  const gauges = fc.record({
    name: fc.string({ unit: "grapheme-ascii", minLength: 1, maxLength: 30 }),
    protocol: fc.constantFrom("line", "scpi", "modbus"),
    options: fc.dictionary(
      fc.stringMatching(/^[A-Za-z][A-Za-z0-9]{0,9}$/).filter((key) => key !== "constructor"),
      fc.oneof(text, fc.nat().map(String)),
    ),
    line: fc.record(
      {
        baud: fc.integer({ min: 50, max: 4_000_000 }),
        dataBits: fc.constantFrom(5, 6, 7, 8),
        parity: fc.constantFrom("none", "even", "odd"),
        stopBits: fc.constantFrom(1, 1.5, 2),
        flow: fc.constantFrom("none", "rtscts"),
      },
      { requiredKeys: [] },
    ),
  });
  fc.assert(
    fc.property(gauges, (gauge) => {
      expect(readGaugeToml(gaugeTomlText(gauge), "x")).toEqual(gauge);
    }),
    { numRuns: 500 },
  );
});
