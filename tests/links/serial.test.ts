/** Over a real pseudo-terminal with the real port library; only the timers are virtual. */
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { scpi } from "../../drivers/scpi.ts";
import type { Driver, DriverEvent, Reading } from "../../src/core/driver.ts";
import { StaunchError } from "../../src/core/errors.ts";
import type { StampedEvent } from "../../src/core/journal.ts";
import type { OpenLink } from "../../src/core/link.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { type SerialOptions, serialLink } from "../../src/links/serial.ts";
import { openPty, type Pty } from "../support/pty.ts";
import { KeptSink } from "../support/sink.ts";
import { turning } from "../support/until.ts";

let room = "";
let path = "";
let clock = new QueueClock();
let sink = new KeptSink();
const lines: OpenLink[] = [];
const ptys: Pty[] = [];

beforeEach(() => {
  room = mkdtempSync(join(tmpdir(), "staunch-line-"));
  path = join(room, "gauge");
  clock = new QueueClock();
  sink = new KeptSink();
});

afterEach(async () => {
  await Promise.all(lines.splice(0).map((one) => one.close()));
  await Promise.all(ptys.splice(0).map((one) => one.end()));
  rmSync(room, { recursive: true });
});

async function plug(): Promise<Pty> {
  const pty = await openPty(path);
  ptys.push(pty);
  return pty;
}

function open(more: Partial<SerialOptions> = {}, into = sink): OpenLink {
  const line = serialLink({ path, clock, ...more }).open(into);
  lines.push(line);
  return line;
}

/** Runs the pause before a reopening; the bound on closing the real port (2 s) is left alone, it closes in real time. */
function runPause(): void {
  const due_ms = clock.nextDue_ms();
  if (due_ms !== null && due_ms - clock.now_ms() < 2000) clock.runNext();
}

const failure = async (into = sink): Promise<StaunchError> => {
  await into.until("a failure", (kept) => kept.failures.length > 0);
  const error = into.failures[0];
  if (!(error instanceof StaunchError)) throw new Error(`not for people: ${String(error)}`);
  return error;
};

const eventFor = (event: StampedEvent): DriverEvent | null => {
  if (event.kind === "link-up") return { kind: "opened", at_ms: event.at_ms };
  return event.kind === "bytes-in" ? { kind: "bytes", at_ms: event.at_ms, bytes: event.bytes } : null;
};

/** Lets a driver answer the line, as a session does, without timers. */
function drive(driver: Driver, line: () => OpenLink): { readings: Reading[]; unused: number } {
  const heard = { readings: [] as Reading[], unused: 0 };
  let state = driver.start();
  sink.reply = (event) => {
    const input = eventFor(event);
    if (input === null) return;
    const step = driver.next(state, input);
    state = step.state;
    heard.readings.push(...step.readings);
    heard.unused += step.unused;
    for (const bytes of step.send) line().send(bytes);
  };
  return heard;
}

describe("a line in order", () => {
  test("bytes come in stamped at arrival, and what was written comes back as an event", async () => {
    const pty = await plug();
    const line = open({ baud: 19_200, parity: "even", dataBits: 7 });
    await sink.until("the line to be up", (kept) => kept.count("link-up") === 1);
    clock.runUntil(1234);
    pty.say("100.2\r\n");
    await sink.until("the figure", (kept) => kept.text() === "100.2\r\n");
    expect(sink.last("bytes-in")).toMatchObject({ at_ms: 1234, wall_ms: clock.wall_ms() });
    line.send(new TextEncoder().encode("READ?\n"));
    await pty.untilHeard("READ?\n");
    await sink.until("the echo of the writing", (kept) => kept.count("bytes-sent") === 1);
    expect(Buffer.from(sink.last("bytes-sent")?.bytes ?? "").toString()).toBe("READ?\n");
    expect(sink.last("link-up")?.detail).toBe(`${path} at 19200 baud, 7E1`);
  });

  test.each(["none", "rtscts", "xonxoff"] as const)("flow control %s opens and reads", async (flow) => {
    const pty = await plug();
    open({ flow });
    await sink.until("the line to be up", (kept) => kept.count("link-up") === 1);
    pty.say("100\n");
    await sink.until("the figure", (kept) => kept.text() === "100\n");
  });

  test("hang-up on close is taken off, and stays when it is wanted; a port is told open only after that", async () => {
    const pty = await plug();
    // A pseudo-terminal is born without it, a serial port with it (Linux, tty_std_termios: from memory).
    const hangsUp = (): boolean => / hupcl/.test(execFileSync("stty", ["-F", pty.slave, "-a"], { encoding: "utf8" }));
    execFileSync("stty", ["-F", pty.slave, "hupcl"]);
    expect(hangsUp()).toBe(true);
    const kept = open({ hupcl: "on" });
    await sink.until("the line to be up", (one) => one.count("link-up") === 1);
    expect(hangsUp()).toBe(true);
    await kept.close();
    open();
    await sink.until("the line to be up again", (one) => one.count("link-up") === 2);
    expect(hangsUp()).toBe(false);
  });

  test("what a gauge says while its port is being set is not lost and comes after the opening", async () => {
    const pty = await plug();
    pty.say("early\n");
    const chatter = setInterval(() => pty.say("talk\n"), 1);
    open();
    await sink.until("some talk", (kept) => kept.text().includes("talk\ntalk\n"));
    clearInterval(chatter);
    expect(sink.kinds()[0]).toBe("link-up");
  });

  test("DTR and RTS cannot be set on a port that has none, and that is said", async () => {
    await plug();
    open({ dtr: "off" });
    const error = await failure();
    expect(error).toMatchObject({ code: "port-settings", exit: 69 });
    expect(error.hint).toContain("dtr and rts");
  });

  test("a pseudo-terminal is told from a gauge, behind a link too", async () => {
    const pty = await plug();
    expect(serialLink({ path: pty.slave, clock }).source).toBe("pseudo-terminal");
    expect(serialLink({ path, clock }).source).toBe("pseudo-terminal");
    expect(serialLink({ path: "/dev/null", clock }).source).toBe("gauge");
  });

  test("closing is idempotent, releases the port and is no outage", async () => {
    await plug();
    const line = open();
    await sink.until("the line to be up", (kept) => kept.count("link-up") === 1);
    expect(line.close()).toBe(line.close());
    await line.close();
    const second = new KeptSink();
    open({}, second);
    await second.until("the port to be free", (kept) => kept.count("link-up") === 1);
    expect(sink.kinds()).toEqual(["link-up"]);
  });
});

describe("an instrument on the line", () => {
  test("a reply cut in two is one reading, garbage between replies is counted", async () => {
    const pty = await plug();
    let line: OpenLink | null = null;
    const heard = drive(scpi.create({ interval: "10" }), () => line ?? expect.fail("no line"));
    line = open();
    await pty.untilHeard("*IDN?\n");
    pty.say("EXAMPLE WORKS,PG-1,0,1.0\n");
    await pty.untilHeard("READ?\n");
    pty.say("+1.02");
    await sink.until("the first half", (kept) => kept.text().endsWith("+1.02"));
    clock.runUntil(50);
    pty.say("345E+04\n");
    await sink.until("the second half", () => heard.readings.length === 1);
    expect(heard.readings).toEqual([{ at_ms: 50, pressure_Pa: 10_234.5, unit: null }]);
    clock.runUntil(100);
    pty.say("\u00ff#~\u0001\n10230.0\n");
    await turning("the reading after the garbage", () => heard.readings.length === 2);
    expect(heard.readings[1]?.pressure_Pa).toBe(10_230);
    expect(heard.unused).toBe(4);
  });
});

describe("a line that fails", () => {
  test("a pulled line is down, and up again with a fresh port when it is back", async () => {
    const pty = await plug();
    open();
    await sink.until("the line to be up", (kept) => kept.count("link-up") === 1);
    pty.say("100\n");
    await sink.until("a figure", (kept) => kept.text() === "100\n");
    await pty.hang();
    // The port may notice by itself or not (seen: 2 of 20 hang-ups unnoticed); the watchdog sees to it at 3 s.
    clock.runUntil(3000);
    expect(sink.count("link-down")).toBe(1);
    await turning(
      "some attempts in vain",
      () => clock.now_ms() > 10_000,
      () => clock.runNext(),
    );
    expect(sink.kinds()).toEqual(["link-up", "bytes-in", "link-down"]);
    const again = await plug();
    await turning(
      "the line to be up again",
      () => sink.count("link-up") === 2,
      () => clock.runNext(),
    );
    again.say("99\n");
    await sink.until("a figure on the new line", (kept) => kept.text() === "100\n99\n");
    expect(sink.failures).toEqual([]);
  });

  test("a line that is silent from the start is reopened with growing patience, and each outage is told", async () => {
    const pty = await plug();
    open();
    await sink.until("the line to be up", (kept) => kept.count("link-up") === 1);
    const downs: number[] = [];
    for (const outage of [1, 2, 3, 4]) {
      while (sink.count("link-down") < outage && clock.runNext());
      expect(sink.count("link-down")).toBe(outage);
      expect(sink.last("link-down")?.reason).toMatch(/^Nothing has come from the gauge for \d+\.0 s\.$/);
      downs.push(clock.now_ms());
      await turning("a fresh port", () => sink.count("link-up") === outage + 1, runPause);
    }
    // 3 s, then 6, 12 and again 12, each after a pause of 0.25 s.
    expect(downs.map((at_ms, i) => at_ms - (downs[i - 1] ?? 0))).toEqual([3000, 6250, 12_250, 12_250]);
    pty.say("100\n");
    await sink.until("its first words", (kept) => kept.text() === "100\n");
  });
});

describe("a port that cannot be opened", () => {
  test("no such port", async () => {
    open();
    expect(await failure()).toMatchObject({ code: "port-missing", exit: 69, message: `There is no serial port ${path}.` });
  });

  test("a port in use by another program", async () => {
    await plug();
    open();
    await sink.until("the line to be up", (kept) => kept.count("link-up") === 1);
    const second = new KeptSink();
    open({}, second);
    expect(await failure(second)).toMatchObject({ code: "port-busy", exit: 69 });
  });

  test("no permission: the words the port library gives, since tests may run as root, whom no permission stops", async () => {
    await plug();
    open({ makePort: () => Promise.reject(new Error(`Error: Permission denied, cannot open ${path}`)) });
    expect(await failure()).toMatchObject({ code: "port-forbidden", exit: 69 });
  });

  test("a file, a folder or a device that is no serial port", async () => {
    writeFileSync(path, "figures");
    for (const place of [path, room, "/dev/null"]) {
      const kept = new KeptSink();
      open({ path: place }, kept);
      expect(await failure(kept)).toMatchObject({ code: "port-not-serial", exit: 69 });
    }
  });

  test("what the file system knows needs no wording of the port library's", async () => {
    open({ makePort: () => Promise.reject(new Error("Fehler 2")) });
    expect(await failure()).toMatchObject({ code: "port-missing", exit: 69 });
  });

  test("anything else keeps its cause", async () => {
    await plug();
    open({ makePort: () => Promise.reject(new Error("Error: Input/output error, cannot open")) });
    const error = await failure();
    expect(error).toMatchObject({ code: "port-failed", exit: 69 });
    expect(error.message).toContain("Input/output error");
  });

  test("settings the port does not know", async () => {
    await plug();
    open({ stopBits: 1.5 });
    expect(await failure()).toMatchObject({ code: "port-settings", exit: 69 });
  });
});
