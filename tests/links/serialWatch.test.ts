/** What a serial link does when ports misbehave in ways no pseudo-terminal can be made to; ports are played. */
import { beforeEach, expect, test } from "vitest";
import { QueueClock } from "../../src/links/queueClock.ts";
import { type SerialOptions, serialLink } from "../../src/links/serial.ts";
import type { PortEvents } from "../../src/links/serialPort.ts";
import { KeptSink } from "../support/sink.ts";
import { turning } from "../support/until.ts";

interface PlayedPort {
  madeAt_ms: number;
  events: PortEvents;
  closed: number;
  write: (bytes: Uint8Array) => Promise<void>;
  close: () => Promise<void>;
}

let clock = new QueueClock();
let sink = new KeptSink();
let ports: PlayedPort[] = [];
let refuseFrom = Number.POSITIVE_INFINITY;

beforeEach(() => {
  clock = new QueueClock();
  sink = new KeptSink();
  ports = [];
  refuseFrom = Number.POSITIVE_INFINITY;
});

const link = (more: Partial<SerialOptions> = {}) =>
  serialLink({
    path: "/dev/null",
    clock,
    ...more,
    makePort: async (_, events) => {
      const port: PlayedPort = { madeAt_ms: clock.now_ms(), events, closed: 0, write: async () => {}, close: async () => {} };
      ports.push(port);
      if (ports.length > refuseFrom) throw new Error("Error: No such file or directory, cannot open");
      return {
        write: (bytes) => port.write(bytes),
        close: () => {
          port.closed++;
          return port.close();
        },
      };
    },
  });

const port = (number: number): PlayedPort => ports[number - 1] ?? expect.fail(`no port ${number}`);
const upTimes = (times: number) => turning(`up ${times} times`, () => sink.count("link-up") === times);
const bytes = Uint8Array.of(49, 10);

test("a port that has not noticed is closed before a fresh one is made, and is not heard any more", async () => {
  link().open(sink);
  await upTimes(1);
  clock.runUntil(3000);
  expect(sink.last("link-down")?.reason).toBe("Nothing has come from the gauge for 3.0 s.");
  expect(port(1).closed).toBe(1);
  await turning(
    "the second port",
    () => ports.length === 2,
    () => clock.runUntil(3250),
  );
  await upTimes(2);
  port(1).events.data(bytes);
  port(1).events.gone("bad file descriptor");
  port(2).events.data(bytes);
  expect(sink.kinds()).toEqual(["link-up", "link-down", "link-up", "bytes-in"]);
});

test("a port that tells its end twice is one outage", async () => {
  link().open(sink);
  await upTimes(1);
  port(1).events.gone("bad file descriptor");
  port(1).events.gone("Canceled");
  expect(sink.kinds()).toEqual(["link-up", "link-down"]);
  expect(sink.last("link-down")?.reason).toBe("The port lost its line: bad file descriptor.");
});

test("a port that tells its end before it is up does not end the link", async () => {
  link().open(sink);
  port(1).events.gone("too early");
  await upTimes(1);
  expect(sink.kinds()).toEqual(["link-up"]);
  clock.runUntil(3000);
  expect(sink.kinds()).toEqual(["link-up", "link-down"]);
});

test("patience grows with mute openings and is the usual one again after the first byte", async () => {
  link().open(sink);
  await upTimes(1);
  clock.runUntil(3000);
  await turning(
    "up again",
    () => sink.count("link-up") === 2,
    () => clock.runUntil(3250),
  );
  const up_ms = clock.now_ms();
  clock.runUntil(up_ms + 5999);
  expect(sink.count("link-down")).toBe(1);
  port(2).events.data(bytes);
  clock.runUntil(up_ms + 5999 + 2999);
  expect(sink.count("link-down")).toBe(1);
  clock.runUntil(up_ms + 5999 + 3000);
  expect(sink.count("link-down")).toBe(2);
});

test("a gauge that speaks every 2.9 s is never cut off", async () => {
  link().open(sink);
  await upTimes(1);
  for (let at_ms = 2900; at_ms < 60_000; at_ms += 2900) {
    clock.runUntil(at_ms);
    port(1).events.data(bytes);
  }
  expect(sink.count("link-down")).toBe(0);
});

test("a failed write is an outage; a write that never ends leaves no trace", async () => {
  const line = link().open(sink);
  await upTimes(1);
  port(1).write = () => new Promise(() => {});
  line.send(bytes);
  port(1).write = () => Promise.reject(new Error("EIO: i/o error, write"));
  line.send(bytes);
  await turning("the outage", () => sink.count("link-down") === 1);
  expect(sink.last("link-down")?.reason).toBe("Writing to the gauge failed: EIO: i/o error, write.");
  line.send(bytes);
  expect(sink.kinds()).toEqual(["link-up", "link-down"]);
});

test("it tries for ever once it has been open, with pauses of at most 1 s", async () => {
  refuseFrom = 1;
  link().open(sink);
  await upTimes(1);
  port(1).events.gone("unplugged");
  await turning(
    "many attempts",
    () => ports.length === 10,
    () => clock.runNext(),
  );
  const made = ports.map((one) => one.madeAt_ms);
  expect(made.slice(1).map((at_ms, i) => at_ms - (made[i] ?? 0))).toEqual([250, 500, 1000, 1000, 1000, 1000, 1000, 1000, 1000]);
  refuseFrom = Number.POSITIVE_INFINITY;
  await turning(
    "the line to be up",
    () => sink.count("link-up") === 2,
    () => clock.runNext(),
  );
  expect(sink.kinds()).toEqual(["link-up", "link-down", "link-up"]);
  expect(sink.failures).toEqual([]);
});

test("each opening says which USB adapter it found and how the control lines stand", async () => {
  const adapters = ["0403:6001 A50285BI", "1a86:7523\u001b[2J", null];
  link({ dtr: "off", rts: "on", hupcl: "on", identify: () => adapters.shift() ?? null }).open(sink);
  const detail = "/dev/null at 9600 baud, 8N1, DTR off, RTS on, hang-up on close";
  for (const [i, usb] of [", USB 0403:6001 A50285BI", ", USB 1a86:7523", ""].entries()) {
    await upTimes(i + 1);
    expect(sink.last("link-up")?.detail).toBe(`${detail}${usb}`);
    port(i + 1).events.gone("unplugged");
    await turning(
      "the next port",
      () => ports.length === i + 2,
      () => clock.runNext(),
    );
  }
});

test("a silent line whose node has gone, or is another's, is given up after half a second; one that talks is left in peace", async () => {
  let node = "first";
  const line = link({ look: () => node });
  line.open(sink);
  await upTimes(1);
  for (let at_ms = 400; at_ms <= 4000; at_ms += 400) {
    clock.runUntil(at_ms);
    port(1).events.data(bytes);
  }
  node = "second";
  // The old port does not close, as a burning one may not: a device that has gone is not waited for.
  port(1).close = () => new Promise(() => {});
  clock.runUntil(5000);
  expect(sink.last("link-down")).toMatchObject({ reason: "The port is no longer there.", at_ms: 4500 });
  await turning(
    "the fresh port",
    () => ports.length === 2,
    () => clock.runUntil(clock.now_ms() + 50),
  );
  await upTimes(2);
  clock.runUntil(7900);
  expect(sink.count("link-down")).toBe(1);
});

test("closing resolves even when the port does not close", async () => {
  const line = link().open(sink);
  await upTimes(1);
  port(1).close = () => new Promise(() => {});
  const closed = line.close();
  clock.runUntil(2000);
  await closed;
  port(1).events.data(bytes);
  expect(sink.kinds()).toEqual(["link-up"]);
  expect(clock.nextDue_ms()).toBeNull();
});

test("closing while the port is being opened closes it and tells nothing", async () => {
  const line = link().open(sink);
  await line.close();
  expect(port(1).closed).toBe(1);
  expect(sink.kinds()).toEqual([]);
});

test("closing during an outage leaves no timer behind", async () => {
  refuseFrom = 1;
  const line = link().open(sink);
  await upTimes(1);
  port(1).events.gone("unplugged");
  await line.close();
  expect(clock.nextDue_ms()).toBeNull();
});
