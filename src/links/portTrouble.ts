import { accessSync, constants, realpathSync, type Stats, statSync } from "node:fs";
import { EXIT, StaunchError } from "../core/errors.ts";

/** Majors of character devices that are the slave side of a pseudo-terminal on Linux (kernel documentation, devices.txt: 3 and 136 to 143). */
const isPtyMajor = (major: number): boolean => major === 3 || (major >= 136 && major <= 143);
/** macOS numbers its pseudo-terminals `/dev/ttys000`. */
const MAC_PTY = /^\/dev\/ttys\d+$/;

function statOf(path: string): Stats | null {
  try {
    return statSync(path);
  } catch {
    return null;
  }
}

/** What stands at a path now, to be told from what stood there before: a device that is pulled out takes its node with it. `null` where there are no nodes (COM3). */
export function nodeAt(path: string): string | null {
  if (!path.startsWith("/")) return null;
  const stat = statOf(path);
  return stat === null ? "nothing" : `${stat.dev}:${stat.ino}:${stat.rdev}`;
}

/** Whether a program instead of a gauge may be at the other end. Follows links, so a renamed pseudo-terminal is still one. */
export function isPseudoTerminal(path: string): boolean {
  const stat = statOf(path);
  if (stat?.isCharacterDevice() !== true) return false;
  return isPtyMajor((stat.rdev >> 8) & 0xfff) || MAC_PTY.test(realpathSync(path));
}

interface Trouble {
  code: string;
  says: string;
  hint: string;
}

const TROUBLES = {
  missing: {
    code: "port-missing",
    says: "There is no serial port",
    hint: "Plug the gauge in and check the name; on Linux /dev/serial/by-id lists what is plugged in.",
  },
  forbidden: {
    code: "port-forbidden",
    says: "No permission to open the serial port",
    hint: "On Linux join the group that owns the port (often dialout: sudo usermod -aG dialout $USER) and log in again.",
  },
  busy: {
    code: "port-busy",
    says: "Another program is using the serial port",
    hint: "Close the other program, or give the gauge's other port.",
  },
  notSerial: {
    code: "port-not-serial",
    says: "Not a serial port:",
    hint: "Give the name of a serial port, such as /dev/ttyUSB0, /dev/ttyACM0 or COM3.",
  },
  settings: {
    code: "port-settings",
    says: "These line settings do not suit the serial port",
    hint: "Check baud, dataBits, parity, stopBits, flow, dtr and rts in the gauge's address.",
  },
  other: {
    code: "port-failed",
    says: "Could not open the serial port",
    hint: "Unplug the gauge, plug it in again and repeat; the cause is given in brackets.",
  },
} as const satisfies Record<string, Trouble>;

/** The serial library gives no error codes, only the system's own words behind one of its own; these are Linux, macOS and Windows. */
const WORDS: readonly [RegExp, Trouble][] = [
  // A port without control lines (a pseudo-terminal) opens, but refuses to have them set.
  [/cannot set\b/i, TROUBLES.settings],
  [/cannot lock port|resource temporarily unavailable|resource busy|in use/i, TROUBLES.busy],
  [/permission denied|operation not permitted/i, TROUBLES.forbidden],
  // Windows says "access denied" when another program has the port, and knows no permission for ports.
  [/access denied/i, TROUBLES.busy],
  [/no such (file|device)|file not found/i, TROUBLES.missing],
  [/inappropriate ioctl|not a typewriter|is a directory/i, TROUBLES.notSerial],
  [/invalid (data bits|parity|stop bits)|baud rate/i, TROUBLES.settings],
];

/** What the file system knows of the path, which does not depend on anyone's wording; `null` when it finds nothing wrong. */
function troubleOnDisk(path: string): Trouble | null {
  if (!path.startsWith("/")) return null;
  const stat = statOf(path);
  if (stat === null) return TROUBLES.missing;
  if (!stat.isCharacterDevice()) return TROUBLES.notSerial;
  try {
    accessSync(path, constants.R_OK | constants.W_OK);
    return null;
  } catch {
    return TROUBLES.forbidden;
  }
}

/** Why a serial port could not be opened, for people; exit 69. */
export function portTrouble(path: string, cause: unknown): StaunchError {
  const words = cause instanceof Error ? cause.message : String(cause);
  const trouble = troubleOnDisk(path) ?? WORDS.find(([pattern]) => pattern.test(words))?.[1] ?? TROUBLES.other;
  const detail = trouble.code === TROUBLES.other.code || trouble.code === TROUBLES.settings.code ? ` (${words})` : "";
  return new StaunchError({
    code: trouble.code,
    message: `${trouble.says} ${path}${detail}.`,
    hint: trouble.hint,
    exit: EXIT.gauge,
    cause,
  });
}
