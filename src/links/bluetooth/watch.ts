import type { BluetoothChannels } from "../../core/driver.ts";
import type { Adapter } from "./adapter.ts";
import { NoAnswer, pause } from "./bounded.ts";
import { Conversation } from "./conversation.ts";
import { find, SEARCH, targetAgain } from "./looking.ts";
import { type BluetoothTarget, type FromChild, Trouble } from "./messages.ts";

/** The longest a gauge may take to be heard the first time; shorter than anyone's patience for a first reading. */
const FIRST_SEARCH_ms = 12_000;
/** A search is begun anew this often, so that one an adapter forgot does not last for ever. */
const SEARCH_ms = 10_000;
const RETRY_ms = 250;
const FIRST_TRIES = 3;
/** So many connections refused on end are the stack's fault, which a fresh one does not have. */
const LATER_TRIES = 5;

const wordsOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/**
 * Keeps a gauge connected until told to end.
 *
 *     adapter on? ── search ── connect, discover, subscribe ── values … lost ┐
 *          ▲────────────────────────── pause ◄───────────────────────────────┘
 *     the first time, what is in the way is told and ends it; later only an adapter that is off or refuses on end does: the parent then starts
 *     anew, because the stack never comes back to an adapter that was pulled out
 */
export class Watch {
  readonly #adapter: Adapter;
  readonly #channels: BluetoothChannels;
  readonly #tell: (message: FromChild) => void;
  readonly #now_ms: () => number;
  #target: BluetoothTarget;
  #conversation: Conversation | null = null;
  #everUp = false;
  #ended = false;

  constructor(
    adapter: Adapter,
    target: BluetoothTarget,
    channels: BluetoothChannels,
    tell: (message: FromChild) => void,
    now_ms: () => number,
  ) {
    this.#adapter = adapter;
    this.#target = target;
    this.#channels = channels;
    this.#now_ms = now_ms;
    this.#tell = (message) => {
      if (message.is === "up") this.#everUp = true;
      if (!this.#ended) tell(message);
    };
  }

  /** Rejects with a `Trouble` when the first connection cannot be had, or the adapter is off. */
  async run(): Promise<void> {
    for (let tries = 1; !this.#ended; tries++) {
      try {
        await this.#once();
        tries = 0;
      } catch (error) {
        if (error instanceof Trouble) throw error;
        // A gauge that is not there is waited for, however long.
        if (error instanceof NoAnswer && error.step === SEARCH) tries = 0;
        if (tries >= (this.#everUp ? LATER_TRIES : FIRST_TRIES)) throw new Trouble("bluetooth-no-link", wordsOf(error));
        await pause(RETRY_ms);
      }
    }
  }

  async #once(): Promise<void> {
    await this.#adapter.ready();
    const peripheral = await find(this.#adapter.noble, this.#target, this.#everUp ? SEARCH_ms : FIRST_SEARCH_ms).catch((error: unknown) => {
      throw error instanceof NoAnswer && error.step === SEARCH && !this.#everUp
        ? new Trouble("bluetooth-not-found", this.#target.text)
        : error;
    });
    if (this.#ended) return;
    this.#conversation = new Conversation(peripheral, this.#channels, this.#tell, this.#now_ms);
    const target = targetAgain(peripheral, this.#target);
    this.#adapter.onOff = () => this.#conversation?.adapterOff();
    await this.#conversation.run();
    this.#target = target;
  }

  write(bytes: Uint8Array): void {
    this.#conversation?.write(bytes);
  }

  again(why: string): void {
    this.#conversation?.giveUp(why);
  }

  async end(): Promise<void> {
    this.#ended = true;
    await this.#conversation?.leave();
  }
}
