import { execFile, execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { modbus } from "../../drivers/modbus.ts";
import { answerModbus, hearModbus } from "../../drivers/simulated/modbusSlave.ts";
import { makeSerialPort } from "../../src/links/serialPort.ts";
import { openPtyPair } from "../support/ptyPair.ts";
import { readGauge } from "../support/readGauge.ts";

/** libmodbus, another people's Modbus, at the other end of a line: as the gauge we read, and as the master that reads ours. */
const SOURCE = fileURLToPath(new URL("modbus_slave.c", import.meta.url));
const BOUND_ms = 60_000;

let folder = "";
let pair: Awaited<ReturnType<typeof openPtyPair>>;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "staunch-modbus-"));
  pair = await openPtyPair();
});
afterAll(async () => {
  await pair.end();
  rmSync(folder, { recursive: true, force: true });
});

describe("a slave of libmodbus read by the driver", () => {
  let slave: ReturnType<typeof spawn>;

  beforeAll(async () => {
    const program = join(folder, "modbus_slave");
    execFileSync("cc", ["-I/usr/include/modbus", "-o", program, SOURCE, "-lmodbus"], { timeout: BOUND_ms });
    slave = spawn(program, [pair.ports[1], "33"], { stdio: ["ignore", "pipe", "inherit"] });
    if (slave.stdout === null) throw new Error("the slave has no voice");
    const [said] = await once(slave.stdout, "data", { signal: AbortSignal.timeout(BOUND_ms) });
    expect(String(said)).toBe("ready\n");
  });
  afterAll(async () => {
    const gone = once(slave, "exit");
    slave.kill();
    await gone;
  });

  const gauge = (options: Record<string, string>) => modbus.create({ address: "33", unit: "mbar", ...options });

  it.each([
    [{ function: "4", register: "0", type: "float32", order: "ABCD" }],
    [{ function: "4", register: "2", type: "float32", order: "CDAB" }],
    [{ function: "4", register: "4", type: "int16", scale: "0.25", offset: "-4.5" }],
  ])("%j is -34.5 mbar", async (options) => {
    const { readings, unused } = await readGauge(pair.ports[0], gauge(options), 3);
    for (const { pressure_Pa } of readings) expect(pressure_Pa).toBeCloseTo(-3450, 9);
    expect([readings.length, unused]).toEqual([3, 0]);
  });

  it("names its refusals", async () => {
    const { readings } = await readGauge(pair.ports[0], gauge({ register: "7", type: "uint16" }), 1);
    expect(readings[0]).toMatchObject({ pressure_Pa: null, status: "illegal-data-address" });
  });

  it("answers 300 questions, each once and in order", async () => {
    const { readings, unused } = await readGauge(pair.ports[0], gauge({ register: "0", type: "uint32", unit: "Pa" }), 300);
    const counts = readings.map((one) => one.pressure_Pa ?? Number.NaN);
    expect(counts).toEqual(counts.map((_, i) => (counts[0] ?? 0) + i));
    expect(unused).toBe(0);
  });
});

describe("the simulated gauge read by mbpoll, a master of libmodbus", () => {
  it.each([
    ["3:float", "-1000.5"],
    ["4:float", "-1000.5"],
    ["3:hex", "0xC47A"],
  ])("type %s shows %s", async (type, shown) => {
    let heard = { held: "", waiting: 0 };
    const port = await makeSerialPort(
      { path: pair.ports[1], baud: 19_200, dataBits: 8, parity: "even", stopBits: 1, flow: "none" },
      {
        data: (bytes) => {
          const { said, ...next } = hearModbus(heard, bytes);
          heard = next;
          const answer = heard.waiting > 0 ? answerModbus(heard.held, -1000.5) : said;
          if (heard.waiting > 0) heard = { held: "", waiting: 0 };
          if (answer !== null) void port.write(answer);
        },
        gone: () => {},
      },
    );
    const words = ["-m", "rtu", "-a", "1", "-b", "19200", "-P", "even", "-t", type, "-B", "-r", "1", "-c", "1", "-1", "-o", "5"];
    const { stdout } = await promisify(execFile)("mbpoll", [...words, pair.ports[0]], { timeout: BOUND_ms });
    await port.close();
    // -1000.5 = 0xC47A2000 in IEEE 754 binary32; mbpoll counts its registers from 1.
    expect(stdout).toMatch(new RegExp(`^\\[1\\]:\\s+${shown}$`, "m"));
  });
});
