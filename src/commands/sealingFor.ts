import { monitorEventLoopDelay } from "node:perf_hooks";
import { isStaunchError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";
import { type MachineKey, openKey } from "../storage/key.ts";
import type { Sealing } from "../storage/sealRecord.ts";
import type { Context } from "./command.ts";

/** What the records of one command are sealed with. */
export interface RunSealing {
  /** `null`: they stay unsealed, and why was said. */
  sealing: Sealing | null;
  /** Says what could not be sealed, when no screen is in the way any more. */
  finish(): void;
}

/** How finely the program's own delays are looked at, ms. */
const LOOK_MS = 20;

/** This machine's key at hand, made when it is the first test. A key that cannot be had stops no test. */
export function sealingFor({ io, key: place }: Context): RunSealing {
  const key = place === undefined ? null : keyOrNote(place, (text) => io.err(`staunch: ${text}`));
  if (key === null) return { sealing: null, finish: () => undefined };
  const delays = monitorEventLoopDelay({ resolution: LOOK_MS });
  delays.enable();
  const notes = new Set<string>();
  return {
    sealing: {
      key,
      // Node counts the waiting time it asked for itself as delay.
      worstDelay_ms: () => Math.max(0, Math.round(delays.max / 1e6 - LOOK_MS)),
      onUnsealed: (reason) => notes.add(reason),
    },
    finish: () => {
      delays.disable();
      for (const note of notes) io.err(`staunch: unsealed: ${plainText(note, 500)}`);
    },
  };
}

function keyOrNote(place: string, say: (text: string) => void): MachineKey | null {
  try {
    const key = openKey(place);
    if (key.isOpen) say(`others on this machine can read the key ${plainText(key.path, 300)}; make it private (chmod 600).`);
    return key;
  } catch (error) {
    if (!isStaunchError(error)) throw error;
    say(`unsealed: ${plainText(error.message, 500)} The test goes on; its record will carry no seal. ${plainText(error.hint, 300)}`);
    return null;
  }
}
