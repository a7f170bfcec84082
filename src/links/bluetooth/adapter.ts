import type { Noble } from "@abandonware/noble/with-custom-binding.js";
import { Trouble, type TroubleCode } from "./messages.ts";

/** An adapter that has said nothing by then is not there: without a device the stack gives no state at all. */
const STATE_BOUND_ms = 5000;

/** The system's own words, and what they mean for the user. */
const WORDS: readonly [RegExp, TroubleCode][] = [
  [/EAFNOSUPPORT|address family not supported|unsupported platform/i, "bluetooth-no-kernel"],
  [/ENODEV|no such device/i, "bluetooth-no-adapter"],
  [/EPERM|EACCES|not permitted|permission denied/i, "bluetooth-not-allowed"],
  [/MODULE_NOT_FOUND|ERR_DLOPEN_FAILED|cannot find (module|package)/i, "bluetooth-not-built"],
];

export function troubleIn(error: unknown): Trouble {
  if (error instanceof Trouble) return error;
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  const words = error instanceof Error ? error.message : String(error);
  return new Trouble(WORDS.find(([pattern]) => pattern.test(`${code} ${words}`))?.[1] ?? "bluetooth-failed", words);
}

const STATES: Readonly<Record<string, TroubleCode>> = {
  poweredOff: "bluetooth-off",
  unauthorized: "bluetooth-not-allowed",
  unsupported: "bluetooth-unsupported",
};

/** The stack with what it says of its adapter. */
export class Adapter {
  readonly noble: Noble;
  #state = "unknown";
  #warning: string | null = null;
  #changed: () => void = () => {};
  /** Called when the adapter goes off: the links it held are then gone without a word. */
  onOff: () => void = () => {};

  constructor(noble: Noble) {
    this.noble = noble;
    // Without this listener the stack writes its warnings to the terminal; and the next one opens the adapter, so it must be first.
    noble.on("warning", (warning: unknown) => {
      this.#warning = String(warning);
      this.#changed();
    });
    noble.on("stateChange", (state: unknown) => {
      this.#state = String(state);
      this.#changed();
      if (this.#state !== "poweredOn") this.onOff();
    });
  }

  /** Resolves when the adapter is on; rejects with the `Trouble` that keeps it from being used. */
  ready(): Promise<void> {
    return new Promise((resolve, reject) => {
      const timer = setTimeout(() => reject(new Trouble("bluetooth-no-adapter", "the adapter gives no state")), STATE_BOUND_ms);
      this.#changed = () => {
        const code = STATES[this.#state];
        const isOn = this.#state === "poweredOn";
        const refused = this.#state === "unknown" && this.#warning !== null;
        if (!isOn && code === undefined && !refused) return;
        clearTimeout(timer);
        this.#changed = () => {};
        if (isOn) resolve();
        else reject(code === undefined ? troubleIn(this.#warning) : new Trouble(code, this.#state));
      };
      this.#changed();
    });
  }
}

/** Loads the stack: only here, because loading it opens sockets, and fails where its native part was not built. */
export async function openAdapter(): Promise<Adapter> {
  try {
    const { default: make } = await import("@abandonware/noble/with-custom-binding.js");
    return new Adapter(make({}));
  } catch (error) {
    throw troubleIn(error);
  }
}
