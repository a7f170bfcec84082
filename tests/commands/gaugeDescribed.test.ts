import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import { describedNames, serialUrl } from "../../src/commands/gaugeDescribed.ts";
import { runGauges } from "../../src/commands/gauges.ts";
import { parseGauges } from "../../src/commands/gaugesWords.ts";
import { live } from "../../src/commands/live.ts";
import { testGauge } from "../../src/commands/testGauge.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import { parseGaugeUrl } from "../../src/links/gaugeUrl.ts";
import { temporaryFolder } from "../support/archives.ts";
import { errorOf, rejectionOf } from "../support/errors.ts";
import { gaugesAt } from "../support/gaugeCommand.ts";
import { testIo } from "../support/io.ts";
import { openPty } from "../support/pty.ts";
import { turning } from "../support/until.ts";

const LIMITS = limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 40 });
const TRAILER = `# an invented gauge
name = "gauge on the trailer"
protocol = "line"
port = "/dev/serial/by-id/usb-A B_1"
[serial]
baud = 19200
[options]
field = 2
separator = ";"
unit = "mbar"
reference = "absolute"
`;

let room = "";
let gaugesFolder = "";
let archive = "";
beforeEach(() => {
  room = temporaryFolder();
  gaugesFolder = join(room, "gauges");
  archive = join(room, "site.staunch");
  mkdirSync(gaugesFolder);
});

const put = (name: string, text: string | Uint8Array): void => writeFileSync(join(gaugesFolder, `${name}.toml`), text);

function asked(name: string) {
  const io = testIo();
  return { io, ...testGauge({ gauge: name }, null, LIMITS, { io, archive, gaugesFolder, program: "staunch test" }) };
}

const refused = (name: string) => errorOf(() => asked(name));

async function checked(...words: string[]) {
  const io = testIo();
  const options = parseGauges(["check", ...words, "--method", "en1610-lc", "--dn", "150"], io);
  if (options === null) throw new Error("only help came");
  const exit = await runGauges(options, { io, archive, gaugesFolder, program: "staunch test" });
  return { exit, out: io.outText.join("\n"), err: io.errText.join("\n") };
}

describe("a gauge described in a file", () => {
  it("is found by the file's name, with protocol, options, port and line of the file", () => {
    put("trailer", TRAILER);
    const { io, ready, known } = asked("trailer");
    expect(known).toBeNull();
    expect(parseGaugeUrl(ready.facts.url)).toEqual({
      scheme: "serial",
      path: "/dev/serial/by-id/usb-A B_1",
      protocol: "line",
      line: { baud: 19_200 },
      silence_ms: null,
      options: { field: "2", separator: ";", unit: "mbar", reference: "absolute" },
    });
    expect(ready.facts).toMatchObject({ protocol: "line", reference: "absolute", driverOptions: { field: "2", unit: "mbar" } });
    expect(ready.facts.name).toBeUndefined();
    expect(io.errText).toEqual([expect.stringContaining(`trailer as described in ${join(gaugesFolder, "trailer.toml")}`)]);
    const { readings } = ready.driver.next(ready.driver.start(), {
      kind: "bytes",
      at_ms: 1,
      bytes: new TextEncoder().encode("a;1013.2\r\n"),
    });
    expect(readings[0]?.pressure_Pa).toBeCloseTo(101_320, 6);
  });

  it("gives way to a gauge of that name on file, and that is said", async () => {
    put("blue", TRAILER);
    await gaugesAt(archive, ["add", "blue", "serial:///dev/ttyS9?protocol=scpi"]);
    const { io, ready, known } = asked("blue");
    expect(known?.name).toBe("blue");
    expect(ready.facts.url).toBe("serial:///dev/ttyS9?protocol=scpi");
    expect(io.errText).toEqual([expect.stringContaining("blue is taken as it is on file")]);
    put("blue", "nonsense, but not read");
    expect(asked("blue").ready.facts.name).toBe("blue");
  });

  it("is read by staunch live from its tty", async () => {
    const pty = await openPty(join(room, "tty"));
    put("trailer", `name = "t"\nprotocol = "line"\nport = ${JSON.stringify(join(room, "tty"))}\n[options]\nunit = "mbar"`);
    const io = testIo();
    const options = live.parse(["--gauge", "trailer", "--plain", "--events"], io);
    if (options === null) throw new Error("only help came");
    const running = live.run(options, { io, archive, gaugesFolder, program: "staunch test" });
    let turns = 0;
    try {
      await turning(
        "the gauge's reading",
        () => io.outText.join().includes("12345"),
        () => {
          if (turns++ % 500 === 0) pty.say("123.45\r\n");
          if (turns % 50 === 0) io.clock.runUntil(io.clock.now_ms() + 1);
        },
      );
      io.interrupt();
      expect(await running).toBe(0);
    } finally {
      await pty.end();
    }
  });

  it("is checked as far as it is known, and is not shown to be fit", async () => {
    put("trailer", TRAILER);
    expect(await checked("trailer")).toMatchObject({ exit: 1, out: expect.stringContaining("UNFIT: gauge trailer") });
  });

  it("must be put on file before anything is kept of it", async () => {
    put("trailer", TRAILER);
    const io = testIo();
    const options = parseGauges(["kit-check", "trailer"], io);
    if (options === null) throw new Error("only help came");
    const error = await rejectionOf(Promise.resolve(runGauges(options, { io, archive, gaugesFolder, program: "staunch test" })));
    expect(error).toMatchObject({ code: "gauge-described", exit: 64 });
    const url = /staunch gauges add trailer "(.*)"$/.exec(error.hint)?.[1] ?? "";
    await gaugesAt(archive, ["add", "trailer", url]);
    expect(asked("trailer").known?.sheet.url).toBe(url);
  });
});

describe("refused", () => {
  it.each([
    ["words", "not a gauge at all", "is not TOML"],
    ["nothing", "", "name is missing"],
    ["bytes", Uint8Array.from({ length: 4000 }, (_, i) => (i * 7919) & 0xff), "is not TOML"],
    ["noPort", 'name = "g"\nprotocol = "line"', "names no port"],
    ["wrongPort", 'name = "g"\nprotocol = "line"\nport = "ttyUSB0"', "names no serial port"],
    ["number", 'name = "g"\nprotocol = "line"\nport = 5', "port must be text"],
    ["stranger", 'name = "g"\nprotocol = "lines"\nport = "/dev/ttyUSB0"', "lines"],
    ["option", 'name = "g"\nprotocol = "line"\nport = "/dev/ttyUSB0"\n[options]\nfield = 0', "field"],
    ["long", " ".repeat(300_000), "is no gauge file"],
  ])("%s", (name, text, complaint) => {
    put(name, text);
    const error = refused(name);
    expect(error).toMatchObject({ code: "gauge-toml", exit: 65 });
    expect(error.message).toContain(`${name}.toml`);
    expect(error.message).toContain(complaint);
  });

  it("a folder of that name, and a name that leads out of the folder", () => {
    mkdirSync(join(gaugesFolder, "box.toml"));
    expect(refused("box")).toMatchObject({ code: "gauge-toml", exit: 65 });
    writeFileSync(join(room, "outside.toml"), TRAILER);
    expect(refused("../outside").code).toBe("gauge-unknown");
  });

  it("a name that neither knows; near ones are told", () => {
    put("trailer", TRAILER);
    const error = refused("trialer");
    expect(error).toMatchObject({ code: "gauge-unknown", exit: 64 });
    expect(error.hint).toContain("Did you mean trailer?");
    expect(describedNames(join(room, "nowhere"))).toEqual([]);
  });
});

it("an address made of a description is taken apart the same", () => {
  const options = { query: "READ? & more=100 %", terminator: "cr" };
  const url = serialUrl("COM3", { protocol: "line", options, line: { baud: 9600, parity: "even" } });
  expect(parseGaugeUrl(url)).toMatchObject({ path: "COM3", protocol: "line", options, line: { baud: 9600, parity: "even" } });
});
