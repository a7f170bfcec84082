import { type ChildProcess, fork } from "node:child_process";
import type { Clock } from "../../core/link.ts";
import { within } from "../within.ts";
import type { FromChild, ToChild } from "./messages.ts";

export interface BluetoothChildOptions {
  /** The bundle of src/links/bluetooth/child.ts. */
  childPath: string;
  clock: Clock;
  /** Words for Node before the path; a test's stand-in for an adapter comes in here. */
  execArgv?: readonly string[];
}

export interface ChildEvents {
  message(message: FromChild): void;
  /** Ended without being told to; `how` says as much as is known. */
  gone(how: string): void;
}

const END_BOUND_ms = 3000;
/** Kept of what a process says that falls over, characters. */
const LAST_WORDS = 2000;
/** Several, of which the quickest answer counts: the first one waits for the child to be loaded. */
const SYNCS = 5;

/** The process that holds the Bluetooth stack, seen from the program; its times are turned into the program's. */
export class BluetoothChild {
  readonly #child: ChildProcess;
  readonly #clock: Clock;
  #gone: Promise<void>;
  #ending = false;
  #quickest_ms = Number.POSITIVE_INFINITY;
  #ahead_ms = 0;
  #last_ms = 0;
  #syncs = 0;

  constructor({ childPath, clock, execArgv = [] }: BluetoothChildOptions, events: ChildEvents) {
    this.#clock = clock;
    this.#last_ms = clock.now_ms();
    // What the stack writes must not reach the screen; advanced serialization carries bytes as bytes.
    this.#child = fork(childPath, [], { execArgv: [...execArgv], stdio: ["ignore", "ignore", "pipe", "ipc"], serialization: "advanced" });
    let lastWords = "";
    this.#child.stderr?.setEncoding("utf8").on("data", (text: string) => {
      lastWords = (lastWords + text).slice(-LAST_WORDS);
    });
    this.#gone = new Promise((resolve) => {
      const over = (how: string): void => {
        resolve();
        if (!this.#ending) events.gone(how);
        this.#ending = true;
      };
      this.#child.once("close", (code, signal) =>
        over(`its process ended with ${signal ?? code}: ${/\w*Error: .*/.exec(lastWords)?.[0] ?? "no word why"}`),
      );
      this.#child.once("error", (error) => over(error.message));
    });
    this.#child.on("message", (message: FromChild) => {
      if (message.is === "sync") this.#synced(message.parent_ms, message.child_ms);
      else if (!this.#ending) events.message(message);
    });
    this.#sync();
  }

  send(message: ToChild): void {
    // A child that is going down breaks the channel before its exit is known; that exit is told all the same.
    if (this.#child.connected) this.#child.send(message, () => {});
  }

  /** A time of the child as a time of the program: never before the last one, never to come. */
  at_ms(child_ms: number): number {
    const now_ms = this.#clock.now_ms();
    const mapped_ms = Math.round(child_ms - this.#ahead_ms);
    this.#last_ms = Number.isFinite(this.#quickest_ms) ? Math.min(now_ms, Math.max(this.#last_ms, mapped_ms)) : now_ms;
    return this.#last_ms;
  }

  /** Ends it, politely at first; idempotent. */
  async end(): Promise<void> {
    this.#ending = true;
    this.send({ do: "end" });
    await within(this.#clock, END_BOUND_ms, this.#gone);
    this.#child.kill("SIGKILL");
  }

  #sync(): void {
    this.#syncs++;
    this.send({ do: "sync", parent_ms: this.#clock.now_ms() });
  }

  #synced(asked_ms: number, child_ms: number): void {
    const now_ms = this.#clock.now_ms();
    const took_ms = now_ms - asked_ms;
    if (took_ms < this.#quickest_ms) {
      this.#quickest_ms = took_ms;
      this.#ahead_ms = child_ms - (asked_ms + now_ms) / 2;
    }
    if (this.#syncs < SYNCS) this.#sync();
  }
}
