/** Over a real pseudo-terminal with the real port library; only time is virtual. And over links of a test's own, one for each speed. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { findDriver } from "../../drivers/index.ts";
import { type LearnWishes, learnGauge } from "../../src/commands/gaugesLearn.ts";
import { isStaunchError } from "../../src/core/errors.ts";
import type { Link, LinkSink } from "../../src/core/link.ts";
import { readGaugeToml } from "../../src/intake/gaugeToml.ts";
import { parseGaugeUrl } from "../../src/links/gaugeUrl.ts";
import { serialLink } from "../../src/links/serial.ts";
import { type TestIo, testIo } from "../support/io.ts";
import { openPty } from "../support/pty.ts";
import { turning } from "../support/until.ts";

type MakeLink = NonNullable<LearnWishes["makeLink"]>;

/** Passes all on and tells what has come. */
class Watching {
  up = false;
  bytes = 0;

  readonly link: MakeLink = (options) => {
    const real = serialLink(options);
    const open = (sink: LinkSink) => {
      const line = real.open({
        ...sink,
        fail: (error) => sink.fail(error),
        done: () => sink.done(),
        event: (event) => {
          this.up = event.kind !== "link-down";
          if (event.kind === "bytes-in") this.bytes += event.bytes.length;
          sink.event(event);
        },
      });
      return {
        send: (bytes: Uint8Array) => line.send(bytes),
        close: () => {
          this.up = false;
          return line.close();
        },
      };
    };
    return { ...real, open };
  };
}

/** Learns over a pty on which a gauge says `say(i)` ten times a virtual second. */
async function learnOnPty(
  say: (i: number) => string,
  more: Partial<LearnWishes> = {},
): Promise<{ io: TestIo; exit: number; path: string }> {
  const room = mkdtempSync(join(tmpdir(), "staunch-learn-"));
  const path = join(room, "gauge");
  const pty = await openPty(path);
  const io = testIo();
  const watching = new Watching();
  let said = 0;
  let i = 0;
  let exit: number | null = null;
  const learning = learnGauge({ port: path, baud: null, seconds: 6, json: false, io, makeLink: watching.link, ...more }).then((code) => {
    exit = code;
  });
  try {
    await Promise.race([
      learning,
      turning(
        "a lesson",
        () => exit !== null,
        () => {
          if (!watching.up || watching.bytes < said) return;
          io.clock.runUntil(io.clock.now_ms() + 100);
          if (!watching.up) return;
          const text = say(i++);
          said += text.length;
          if (text !== "") pty.say(text);
        },
      ),
    ]);
    await learning;
  } finally {
    await pty.end();
    rmSync(room, { recursive: true });
  }
  return { io, exit: exit ?? -1, path };
}

const mbar = (i: number): string => `${(100 - 0.2 * i + 0.5 * Math.sin(i)).toFixed(1)} mbar\r\n`;

describe("over a pseudo-terminal", () => {
  test("a gauge that talks is heard at the first speed; address and file read it", async () => {
    const { io, exit, path } = await learnOnPty(mbar, { folder: "/home/crew/gauges" });
    expect(exit).toBe(0);
    const text = io.outText.join("\n");
    expect(text).toContain("Proposal (good): 100 % of the lines");
    expect(text).toContain("Last digit 0.1 mbar");
    expect(io.errText).toEqual([`Listening on ${path} at 9600 baud …`]);
    const url = io.outText[io.outText.indexOf("Gauge address:") + 1]?.trim() ?? "";
    expect(parseGaugeUrl(url)).toMatchObject({
      scheme: "serial",
      path,
      protocol: "line",
      line: { baud: 9600 },
      options: { terminator: "crlf" },
    });
    const file = io.outText.slice(io.outText.indexOf("The same as a file:") + 1, -3).join("\n");
    const gauge = readGaugeToml(file, "learned.toml");
    expect(gauge).toEqual({ name: "gauge", protocol: "line", port: path, options: { terminator: "crlf" }, line: { baud: 9600 } });
    expect(io.outText.at(-2)).toMatch(/^Keep it as \/home\/crew\/gauges\/NAME\.toml, .*: staunch test --gauge NAME$/);
    expect(findDriver(gauge.protocol).create(gauge.options).reference).toBe("vented");
  });

  test("a silent gauge is tried at each speed, then said to be silent", async () => {
    const { io, exit } = await learnOnPty(() => "");
    expect(exit).toBe(69);
    expect(io.outText).toEqual([]);
    expect(io.errText.filter((one) => one.startsWith("Listening")).map((one) => / (\d+) baud/.exec(one)?.[1])).toEqual([
      "9600",
      "4800",
      "19200",
      "38400",
      "57600",
      "115200",
    ]);
    expect(io.errText.join(" ")).toContain("the gauge is silent");
  });

  test("control characters of a gauge never reach the terminal", async () => {
    const { io } = await learnOnPty((i) => `\u001b[2J;${mbar(i)}`, { baud: 9600 });
    expect(io.outText.join("\n")).not.toContain("\u001b");
    expect(io.outText.join("\n")).toContain("mbar");
  });
});

/** A gauge set to one speed: at any other its bytes are no text. */
function gaugeAt(speed: number, say: (i: number) => string): MakeLink {
  return ({ clock, baud }): Link => ({
    clock,
    source: "gauge",
    describe: "a gauge of a test",
    open: (sink) => {
      let cancel = (): void => {};
      const stamp = () => ({ at_ms: clock.now_ms(), wall_ms: clock.wall_ms() });
      const talk = (i: number): void => {
        const bytes = Buffer.from(say(i), "latin1");
        sink.event({ kind: "bytes-in", bytes: baud === speed ? bytes : bytes.map((byte) => byte | 0x80), ...stamp() });
        cancel = clock.at(clock.now_ms() + 200, () => talk(i + 1));
      };
      cancel = clock.at(clock.now_ms(), () => {
        sink.event({ kind: "link-up", detail: "", ...stamp() });
        talk(0);
      });
      return { send: () => expect.unreachable(), close: async () => cancel() };
    },
  });
}

async function learnWith(makeLink: MakeLink, more: Partial<LearnWishes> = {}): Promise<{ io: TestIo; exit: number }> {
  const io = testIo();
  let exit: number | null = null;
  const learning = learnGauge({ port: "/dev/gauge", baud: null, seconds: 5, json: false, io, makeLink, ...more }).then((code) => {
    exit = code;
  });
  await turning(
    "a lesson",
    () => exit !== null,
    () => io.clock.runUntil(io.clock.now_ms() + 100),
  );
  await learning;
  return { io, exit: exit ?? -1 };
}

describe("speeds", () => {
  test("the speed at which text appears is taken and told in the address", async () => {
    const { io, exit } = await learnWith(gaugeAt(38_400, mbar));
    expect(exit).toBe(0);
    expect(io.outText.join("\n")).toContain("serial:///dev/gauge?protocol=line&baud=38400&terminator=crlf");
    expect(io.errText).toHaveLength(4);
  });

  test("a wrong speed told is named as a cause, and no other is tried", async () => {
    const { io, exit } = await learnWith(gaugeAt(38_400, mbar), { baud: 9600 });
    expect(exit).toBe(69);
    expect(io.errText.filter((one) => one.startsWith("Listening"))).toHaveLength(1);
    expect(io.errText.join(" ")).toContain("leave --baud out");
  });

  test("one JSON object, with the address or null", async () => {
    const good = await learnWith(
      gaugeAt(4800, () => "$WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO*5E\r\n"),
      { json: true },
    );
    expect(good.exit).toBe(0);
    expect(JSON.parse(good.io.outText.join(""))).toMatchObject({
      schema: "staunch/learned/1",
      kind: "xdr",
      url: "serial:///dev/gauge?protocol=xdr&baud=4800",
    });
    const bad = await learnWith(gaugeAt(1, mbar), { json: true });
    expect(JSON.parse(bad.io.outText.join(""))).toMatchObject({ kind: "binary", url: null });
  });
});

test("Ctrl-C ends listening with 130", async () => {
  const io = testIo();
  const learning = learnGauge({ port: "/dev/gauge", baud: null, seconds: 5, json: false, io, makeLink: gaugeAt(9600, mbar) });
  io.interrupt();
  expect(await learning).toBe(130);
});

test.each([
  [{ port: "ble://AA:BB:CC:DD:EE:FF?profile=ess" }, "learn-port"],
  [{ port: "ttyUSB0/../x", seconds: 0 }, "learn-seconds"],
  [{ port: "sim://" }, "learn-port"],
])("%j is refused before a port is opened", async (wishes, code) => {
  const asked: LearnWishes = { baud: null, seconds: 5, json: false, io: testIo(), makeLink: () => expect.unreachable(), ...wishes };
  await expect(learnGauge(asked)).rejects.toSatisfy((error) => isStaunchError(error, code) && error.exit === 64);
});

test("a port that is not there is told as such", async () => {
  const wishes = { port: "/dev/staunch-no-such-port", baud: 9600, seconds: 5, json: false, io: testIo() };
  await expect(learnGauge(wishes)).rejects.toSatisfy((error) => isStaunchError(error, "port-missing") && error.exit === 69);
});
