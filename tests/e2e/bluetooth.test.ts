/** The built program with a Bluetooth gauge, and without Bluetooth. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it } from "vitest";
import { openArchive } from "../../src/storage/open.ts";
import { findRecord } from "../../src/storage/records.ts";
import { runProgram, startProgram } from "../support/program.ts";
import { ESS, VirtualGauge } from "../support/virtualBluetooth/gauge.ts";
import { Room } from "../support/virtualBluetooth/room.ts";

const METHOD = ["--method", "en1610-lc", "--dn", "150", "--laid-length", "45", "--plain"];

let folder = "";
let room: Room;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "staunch-bluetooth-"));
  room = new Room();
});
afterEach(async () => {
  await room.close();
  rmSync(folder, { recursive: true, force: true });
});

const archive = (): string => join(folder, "site.staunch");
const words = (gauge: string, ...more: string[]): string[] => ["--archive", archive(), "test", "--gauge", gauge, ...METHOD, ...more];
const letIn = (more: Record<string, string> = {}): { NODE_OPTIONS: string } => ({ NODE_OPTIONS: room.execArgv(more).join(" ") });

it("takes readings from a gauge found by name, and keeps that it was absolute", async () => {
  const gauge = new VirtualGauge(room.air, { address: "c0:00:00:00:00:02", name: "Gauge 7", services: ESS });
  const speak = (i: number): void => {
    gauge.pressure(1_013_250 + (i % 3));
    room.air.after(100, () => speak(i + 1));
  };
  speak(0);
  const program = startProgram(words("ble://Gauge%207?profile=ess"), letIn({ VIRTUAL_NOISE: "1" }));
  await program.until("the zero to be taken and pumping to be asked for", (text) => text.includes("Pump to"));
  program.kill("SIGINT");
  expect(await program.ended).toBe(130);
  expect(program.out() + program.err()).not.toContain("NOISE");
  await gauge.watched.until("the gauge is let go", () => !gauge.isSubscribed);

  const opened = openArchive(archive(), { mode: "read" });
  const { start } = findRecord(opened, "last");
  opened.close();
  expect(start).toMatchObject({ source: "gauge", gauge: { protocol: "ess", reference: "absolute", url: "ble://Gauge%207?profile=ess" } });
});

it("leaves no process behind when it is killed without warning", async () => {
  const gauge = new VirtualGauge(room.air, { address: "c0:00:00:00:00:02", name: "Gauge 7", services: ESS });
  const program = startProgram(words("ble://c0-00-00-00-00-02?profile=ess"), letIn());
  await gauge.watched.until("the gauge is listened to", () => gauge.isSubscribed);
  expect(room.guests).toBe(1);
  program.kill("SIGKILL");
  await program.ended;
  await room.watched.until("the Bluetooth process is gone", () => room.guests === 0);
});

it.each([
  ["EPERM", "bluetooth-not-allowed", "setcap cap_net_raw+eip"],
  ["OFF", "bluetooth-off", "bluetoothctl power on"],
  ["ENODEV", "bluetooth-no-adapter", "Plug one in"],
])("says what to do about %s, with exit 69 and nothing of the stack's own words", async (refusal, code, advice) => {
  const env = letIn({ VIRTUAL_HCI_REFUSE: refusal, VIRTUAL_NOISE: "1" });
  const { code: exit, out, err } = await runProgram(words("ble://C0:00:00:00:00:02?profile=ess"), env);
  expect(exit).toBe(69);
  expect(err).toContain(code);
  expect(err.replace(/\s+/g, " ")).toContain(advice);
  expect(out + err).not.toMatch(/NOISE|noble warning|\bat .*\.js:/);
});

it("proves a pipe as ever where the Bluetooth part was not built", async () => {
  const { code, out } = await runProgram(
    words("sim://?leak=0.5&seed=7", "--pace", "2000", "--json"),
    letIn({ VIRTUAL_HCI_REFUSE: "MODULE" }),
  );
  expect(code).toBe(0);
  expect(JSON.parse(out)).toMatchObject({ verdict: "pass" });
});
