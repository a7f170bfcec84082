/** The part of `process` a full-screen program must mind. */
export interface ScreenHost {
  readonly pid: number;
  on(event: string, listener: () => void): unknown;
  off(event: string, listener: () => void): unknown;
  listenerCount(event: string): number;
  kill(pid: number, signal: string): unknown;
}

/** xterm's alternate screen (private mode 1049 saves cursor and screen), cleared; and back, with the cursor shown again (mode 25). */
const ENTER = "\u001b[?1049h\u001b[2J\u001b[H";
const LEAVE = "\u001b[?25h\u001b[?1049l";
export const CLEAR = "\u001b[2J\u001b[H";

const SIGNALS = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/**
 * Takes the whole screen and gives it back however the program ends: by the returned function, at exit, at an uncaught error (before
 * Node prints it) or at a signal. A signal that nobody else listened to when the screen was taken is raised again, so that it still
 * ends the program; who wants to end in good order must therefore listen before. `before` runs once, first, when the screen is left.
 */
export function takeScreen(write: (text: string) => void, host: ScreenHost, before: () => void): () => void {
  let left = false;
  const undo: (() => void)[] = [];
  const listen = (event: string, listener: () => void): void => {
    host.on(event, listener);
    undo.push(() => host.off(event, listener));
  };
  const leave = (): void => {
    if (left) return;
    left = true;
    for (const step of undo) step();
    try {
      before();
    } finally {
      write(LEAVE);
    }
  };
  for (const signal of SIGNALS) {
    const heardElsewhere = host.listenerCount(signal) > 0;
    listen(signal, () => {
      leave();
      if (!heardElsewhere) host.kill(host.pid, signal);
    });
  }
  listen("exit", leave);
  // The monitor event does not count as handling: Node goes on to print the error and to end.
  listen("uncaughtExceptionMonitor", leave);
  write(ENTER);
  return leave;
}
