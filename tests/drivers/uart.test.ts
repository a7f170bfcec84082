import { describe, expect, it } from "vitest";
import { uart } from "../../drivers/uart.ts";
import { errorOf } from "../support/errors.ts";

const made = (options: Record<string, string>) => uart.create({ service: "ffe0", notify: "ffe1", ...options });

describe("the characteristics of a text gauge", () => {
  it("are handed to the link without hyphens and in small letters", () => {
    const driver = uart.create({
      service: "6E400001-B5A3-F393-E0A9-E50E24DCCA9E",
      notify: "6E400003-B5A3-F393-E0A9-E50E24DCCA9E",
      write: "6E400002-B5A3-F393-E0A9-E50E24DCCA9E",
      query: "D",
    });
    expect(driver.bluetooth).toEqual({
      services: ["6e400001b5a3f393e0a9e50e24dcca9e"],
      notify: [{ uuid: "6e400003b5a3f393e0a9e50e24dcca9e", label: 3 }],
      write: "6e400002b5a3f393e0a9e50e24dcca9e",
    });
  });

  it("must be told, and be UUIDs; a query needs somewhere to go", () => {
    expect(errorOf(() => uart.create({ service: "ffe0" }))).toMatchObject({ code: "gauge-option", exit: 64 });
    expect(errorOf(() => made({ notify: "serial" })).message).toContain('"serial"');
    expect(errorOf(() => made({ query: "D" })).message).toContain("write");
    expect(errorOf(() => made({ decimal: "dot" })).message).toContain("decimal");
  });

  it("keeps asking while only the link's own word comes", () => {
    const driver = made({ write: "ffe1", query: "D" });
    const opened = driver.next(driver.start(), { kind: "opened", at_ms: 0 });
    const word = Uint8Array.from([0, 0, 17, ...new TextEncoder().encode("C0:00:00:00:00:02")]);
    const step = driver.next(opened.state, { kind: "bytes", at_ms: 5, bytes: word });
    expect(step).toMatchObject({ identity: "C0:00:00:00:00:02", wakeAt_ms: opened.wakeAt_ms });
  });
});
