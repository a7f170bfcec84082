/** The simulated pipe serves a real tty: the serial link and each driver must read there what they read with no line between. */
import { expect, it } from "vitest";
import { makeSerialPort } from "../../src/links/serialPort.ts";
import { pumpedPipe, readInProcess, told } from "../support/pipeReadings.ts";
import { openPtyPair } from "../support/ptyPair.ts";
import { readGauge } from "../support/readGauge.ts";
import { Watched } from "../support/until.ts";

const WANTED = 60;

interface Served {
  /** A gauge that talks by itself begins: what is said to a closed port is lost. */
  talk(): void;
  stop(): Promise<void>;
}

/** The pipe at one port of a line. It goes on only while it owes the line something, so that no sample passes while a question travels. */
async function servePipe(options: Record<string, string>, path: string, asks: boolean): Promise<Served> {
  const heard = new Watched();
  const said: Uint8Array[] = [];
  let owed = 0;
  let isListenedTo = false;
  let ended = false;
  const pipe = pumpedPipe(options, (event) => {
    if (event.kind === "bytes-in") said.push(event.bytes);
  });
  const settings = { path, baud: 9600, dataBits: 8, parity: "none", stopBits: 1, flow: "none" } as const;
  const port = await makeSerialPort(settings, {
    data: (bytes) => {
      pipe.open.send(bytes);
      owed += 1;
      heard.changed();
    },
    gone: () => undefined,
  });
  const answer = async (): Promise<void> => {
    while (said.length === 0) pipe.goOn();
    for (const bytes of said.splice(0)) await port.write(bytes);
  };
  const serving = (async () => {
    await heard.until("a listener", () => isListenedTo || ended);
    for (let i = 0; i < WANTED && !asks && !ended; i++) await answer();
    while (asks && !ended) {
      await heard.until("a question", () => owed > 0 || ended);
      for (; owed > 0; owed--) await answer();
    }
  })();
  return {
    talk: () => {
      isListenedTo = true;
      heard.changed();
    },
    stop: async () => {
      ended = true;
      heard.changed();
      await serving;
      await pipe.open.close();
      await port.close();
    },
  };
}

it.each([
  ["line", {}],
  ["line", { sensors: "air,ambient" }],
  ["line", { unit: "3:1" }],
  ["scpi", {}],
  ["modbus", {}],
  ["xdr", {}],
  ["xdr", { sensors: "air,ambient" }],
])("%s %j: every reading comes over the line as it was spoken, in order", async (protocol, more) => {
  const options = { protocol, ...more };
  const expected = readInProcess(options, WANTED);
  const line = await openPtyPair();
  const [gaugeEnd, ourEnd] = line.ports;
  const { driver } = pumpedPipe(options, () => undefined);
  const served = await servePipe(options, gaugeEnd, protocol === "scpi" || protocol === "modbus");
  try {
    const { readings, unused } = await readGauge(ourEnd, driver, WANTED, served.talk);
    expect(readings.map(told)).toEqual(expected.map(told));
    expect(unused).toBe(0);
    const figures = readings.map((one) => one.pressure_Pa ?? Number.NaN);
    // Being pumped up: a stuck figure would be equal too, and would show nothing.
    expect(new Set(figures).size).toBeGreaterThan(WANTED / 2);
    expect(Math.max(...figures)).toBeGreaterThan(100);
  } finally {
    await served.stop();
    await line.end();
  }
});
