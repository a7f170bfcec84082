/** Ctrl-C as a terminal in raw mode sends it (ECMA-48 ETX). */
const INTERRUPT = 3;

/**
 * Until the returned function is called, keys are neither echoed nor kept: no screen hears them yet. Ctrl-C, which such a terminal only sends as a
 * byte, calls `interrupt` once the terminal is as it was. `release(true)` leaves it silent for a screen that has taken it.
 */
export function quietKeys(stdin: NodeJS.ReadStream, interrupt: () => void): (isTaken: boolean) => void {
  let quiet = true;
  const heard = (keys: Buffer | string): void => {
    if (!Buffer.from(keys).includes(INTERRUPT)) return;
    release(false);
    interrupt();
  };
  const release = (isTaken: boolean): void => {
    if (!quiet) return;
    quiet = false;
    stdin.off("data", heard);
    if (isTaken) return;
    stdin.pause();
    stdin.setRawMode(false);
  };
  stdin.setRawMode(true);
  stdin.on("data", heard);
  return release;
}
