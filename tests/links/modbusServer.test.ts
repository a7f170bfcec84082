/** Our link and driver against a Modbus slave from a public library, over a real tty. It checks no CRC; tests/peers has one that does. */
import { once } from "node:events";
import { ServerSerial } from "modbus-serial";
import { afterAll, beforeAll, expect, test } from "vitest";
import { modbus } from "../../drivers/modbus.ts";
import { openPtyPair } from "../support/ptyPair.ts";
import { readGauge } from "../support/readGauge.ts";

/** 98.1 Pa as Node's own buffers write a binary32, the low word first. */
const float = Buffer.alloc(4);
float.writeFloatBE(98.1);
const INPUT = [float.readUInt16BE(2), float.readUInt16BE(0), 0xff9c, 215];
/** 101 325 = 0x00018BCD. */
const HOLDING = [0x0001, 0x8bcd];

let pair: Awaited<ReturnType<typeof openPtyPair>>;
let server: ServerSerial;
let asked = 0;

function register(of: readonly number[]): (address: number) => Promise<number> {
  return (address) => {
    asked++;
    const value = of[address];
    return value === undefined ? Promise.reject({ modbusErrorCode: 2 }) : Promise.resolve(value);
  };
}

beforeAll(async () => {
  pair = await openPtyPair();
  const vector = { getInputRegister: register(INPUT), getHoldingRegister: register(HOLDING) };
  server = new ServerSerial(vector, { path: pair.ports[1], baudRate: 19_200, parity: "even", unitID: 17 });
  await once(server, "initialized");
});
afterAll(async () => {
  await new Promise<void>((resolve) => server.close(() => resolve()));
  await pair.end();
});

const GAUGE = { address: "17", register: "0", unit: "Pa" };

test("input registers: pressure as float32, low word first, and air with it", async () => {
  const driver = modbus.create({ ...GAUGE, function: "4", type: "float32", order: "CDAB", airRegister: "3" });
  const { readings, unused } = await readGauge(pair.ports[0], driver, 5);
  expect(readings.map((one) => one.pressure_Pa)).toEqual(Array.from({ length: 5 }, () => Math.fround(98.1)));
  expect(readings.map((one) => one.air_C)).toEqual(Array.from({ length: 5 }, () => 21.5));
  expect(unused).toBe(0);
  // One question at a time: four registers each, and no question more than answers.
  expect(asked).toBe(5 * 4);
});

test("holding registers as uint32, and a signed one with its scale", async () => {
  const whole = await readGauge(pair.ports[0], modbus.create({ ...GAUGE, type: "uint32" }), 2);
  expect(whole.readings.map((one) => one.pressure_Pa)).toEqual([101_325, 101_325]);
  const signed = modbus.create({ ...GAUGE, function: "4", register: "2", type: "int16", unit: "mbar", scale: "0.1" });
  const { readings } = await readGauge(pair.ports[0], signed, 2);
  // 0xFF9C is -100 in two's complement: -10.0 mbar.
  expect(readings.map((one) => one.pressure_Pa)).toEqual([-1000, -1000]);
});

test("its refusal is named", async () => {
  const { readings } = await readGauge(pair.ports[0], modbus.create({ ...GAUGE, register: "9", type: "int16" }), 2);
  expect(readings.map(({ pressure_Pa, status }) => [pressure_Pa, status])).toEqual(
    Array.from({ length: 2 }, () => [null, "illegal-data-address"]),
  );
});
