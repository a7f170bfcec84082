import { type ChildProcess, fork } from "node:child_process";
import { once } from "node:events";
import { afterEach, expect, it } from "vitest";
import type { FromChild, ToChild } from "../../../src/links/bluetooth/messages.ts";
import { Watched } from "../../support/until.ts";
import { ESS, VirtualGauge } from "../../support/virtualBluetooth/gauge.ts";
import { CHILD_PATH, Room } from "../../support/virtualBluetooth/room.ts";

const ends: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0).reverse()) await end();
});

/** The process that holds the stack, with a gauge to be heard, told by hand. */
function started() {
  const room = new Room(4);
  ends.push(() => room.close());
  new VirtualGauge(room.air, { address: "c0:00:00:00:00:02", name: "Gauge 7", services: ESS });
  const child: ChildProcess = fork(CHILD_PATH, [], {
    execArgv: room.execArgv(),
    stdio: ["ignore", "ignore", "ignore", "ipc"],
    serialization: "advanced",
  });
  ends.push(async () => void child.kill("SIGKILL"));
  const watched = new Watched();
  const told: FromChild[] = [];
  child.on("message", (message: FromChild) => {
    told.push(message);
    watched.changed();
  });
  const seen = (): number => told.filter(({ is }) => is === "seen").length;
  const say = (message: ToChild): boolean => child.send(message);
  return { child, watched, told, seen, say };
}

it("outlives the Ctrl-C of its terminal and goes when its parent does", async () => {
  const { child, watched, seen, say } = started();
  say({ do: "scan" });
  await watched.until("the gauge is heard", () => seen() > 0);
  child.kill("SIGINT");
  child.kill("SIGTERM");
  const before = seen();
  await watched.until("it is heard on", () => seen() > before + 3);
  const exit = once(child, "exit");
  child.disconnect();
  expect(await exit).toEqual([0, null]);
});

it("tells its time when asked", async () => {
  const { watched, told, say } = started();
  say({ do: "sync", parent_ms: 5 });
  say({ do: "sync", parent_ms: 6 });
  await watched.until("two answers", () => told.length === 2);
  const times = told.map((message) => (message.is === "sync" ? message.child_ms : Number.NaN));
  expect(told).toMatchObject([
    { is: "sync", parent_ms: 5 },
    { is: "sync", parent_ms: 6 },
  ]);
  expect((times[1] ?? 0) - (times[0] ?? 0)).toBeGreaterThanOrEqual(0);
});
