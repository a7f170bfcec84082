import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server, type Socket } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Clock } from "../../../src/core/link.ts";
import { Watched } from "../until.ts";
import { Air } from "./air.ts";
import { Controller } from "./controller.ts";
import { packetCutter } from "./hci.ts";

const PRELOAD = fileURLToPath(new URL("./hciSocket.cjs", import.meta.url));
export const CHILD_PATH = fileURLToPath(new URL("../../../dist/bluetooth-child.js", import.meta.url));

/** Real time, so many times as fast. */
export const quickClock = (speed: number): Clock => ({
  now_ms: () => Math.floor(performance.now() * speed),
  wall_ms: () => Math.floor(1_767_225_600_000 + performance.now() * speed),
  at(due_ms, action) {
    const timer = setTimeout(action, Math.max(0, due_ms / speed - performance.now()));
    return () => clearTimeout(timer);
  },
});

/** An air with gauges in it, and a door through which another process gets an adapter of its own. */
export class Room {
  readonly air: Air;
  readonly clock: Clock;
  readonly watched = new Watched();
  /** The adapter the last process got. */
  adapter: Controller | null = null;
  /** Of the next adapters: below 6 there is no Low Energy. */
  version = 9;
  /** The next adapters take commands and answer none. */
  isMute = false;
  readonly #folder = mkdtempSync(join(tmpdir(), "room-"));
  readonly #server: Server;
  #entrances = 0;
  readonly #sockets = new Set<Socket>();
  #word: (isOn: boolean) => void = () => {};

  constructor(speed = 1) {
    this.air = new Air({ speed, seed: 7 });
    this.clock = quickClock(speed);
    this.#server = createServer((socket) => this.#enter(socket)).listen(this.door);
  }

  /** Processes that have an adapter now. */
  get guests(): number {
    return this.#sockets.size;
  }

  get door(): string {
    return join(this.#folder, "door.sock");
  }

  /** What a process is started with to be let in; in a file, so that rooms beside each other do not share an environment. */
  execArgv(more: Record<string, string> = {}): string[] {
    const env = { VIRTUAL_HCI: this.door, VIRTUAL_SPEED: String(this.air.speed), ...more };
    const file = join(this.#folder, `enter-${++this.#entrances}.cjs`);
    writeFileSync(file, `Object.assign(process.env, ${JSON.stringify(env)});\nrequire(${JSON.stringify(PRELOAD)});\n`);
    return ["--require", file];
  }

  /** Switches the adapter off or on, as a person or a kill switch does. */
  power(isOn: boolean): void {
    this.adapter?.power(isOn);
    this.#word(isOn);
  }

  async close(): Promise<void> {
    for (const socket of this.#sockets) socket.destroy();
    this.air.close();
    await new Promise((resolve) => this.#server.close(resolve));
    rmSync(this.#folder, { recursive: true, force: true });
  }

  #enter(socket: Socket): void {
    const adapter = new Controller(this.air, "c0:00:00:00:00:01", this.version);
    this.adapter = adapter;
    this.#sockets.add(socket);
    if (!this.isMute) adapter.toHost = (packet) => socket.write(packet);
    this.#word = (isOn) => socket.write(Buffer.from([isOn ? 1 : 0]));
    socket.on(
      "data",
      packetCutter((packet) => adapter.fromHost(packet)),
    );
    socket.on("error", () => {});
    socket.on("close", () => {
      this.#sockets.delete(socket);
      this.watched.changed();
      adapter.power(false);
      this.air.controllers.delete(adapter);
    });
  }
}
