import { describe, expect, it } from "vitest";
import { cutRecords } from "../../drivers/framing/records.ts";
import { uart } from "../../drivers/uart.ts";
import { valueRecords } from "../../src/links/ble.ts";
import { linked } from "../support/virtualBluetooth/linked.ts";

describe("a Bluetooth gauge that is asked", () => {
  const SERVICE = "6e400001-b5a3-f393-e0a9-e50e24dcca9e";
  const NOTIFY = SERVICE.replace("0001", "0003");
  const WRITE = SERVICE.replace("0001", "0002");

  it("is written to in pieces that fit, and answers", async () => {
    const driver = uart.create({ service: SERVICE, notify: NOTIFY, write: WRITE, query: "MEASURE:PRESSURE? SLOWLY", unit: "Pa" });
    const characteristics = [
      { uuid: WRITE, properties: ["write"] },
      { uuid: NOTIFY, properties: ["notify"] },
    ];
    const { gauge, sink, open } = await linked({ services: [{ uuid: SERVICE, characteristics }], channels: driver.bluetooth });
    const [question] = driver.next(driver.start(), { kind: "opened", at_ms: 0 }).send;
    open.send(question ?? new Uint8Array(0));
    await sink.until("it is told as sent", (seen) => seen.count("bytes-sent") === 1);
    expect(gauge.written).toEqual(["MEASURE:PRESSURE? SL", "OWLY\r\n"]);
    gauge.notify(NOTIFY, Buffer.from("1013.2\r\n"));
    await sink.until("the answer", (seen) => seen.count("bytes-in") === 2);
    const answer = sink.last("bytes-in")?.bytes ?? new Uint8Array(0);
    const { readings } = driver.next(driver.start(), { kind: "bytes", at_ms: 9, bytes: answer });
    expect(readings).toMatchObject([{ pressure_Pa: 1013.2 }]);
  });
});

describe("a value as records", () => {
  it("is cut where its length does not fit into a byte", () => {
    const long = Uint8Array.from({ length: 300 }, (_, i) => i & 0xff);
    const { records } = cutRecords(new Uint8Array(0), valueRecords(3, long), (label) => label === 3);
    expect(records.map(({ value }) => value.length)).toEqual([255, 45]);
    expect(Uint8Array.from(records.flatMap(({ value }) => [...value]))).toEqual(long);
  });
});
