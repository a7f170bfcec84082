import { EXIT, StaunchError } from "../../core/errors.ts";
import { plainText } from "../../core/text.ts";
import type { TroubleCode } from "./messages.ts";

interface Advice {
  says: string;
  hint: string;
  /** The detail belongs into the sentence: it names what was looked for, or nobody knows more. */
  showDetail?: true;
}

/** `node` is the executable that needs the permission. */
const advice = (node: string): Readonly<Record<TroubleCode, Advice>> => ({
  "bluetooth-not-built": {
    says: `The Bluetooth part is not there for this Node (${process.version})`,
    hint: "Run: npm install @abandonware/noble, or npm rebuild @abandonware/bluetooth-hci-socket (needs a C++ compiler and python3). Serial gauges work without it.",
  },
  "bluetooth-no-kernel": {
    says: "This system's kernel has no Bluetooth; containers and virtual machines often have none",
    hint: "Use a machine with Bluetooth, or a serial gauge.",
  },
  "bluetooth-no-adapter": {
    says: "No Bluetooth adapter answers",
    hint: "Plug one in, or choose another with NOBLE_HCI_DEVICE_ID=1. A serial gauge needs none.",
  },
  "bluetooth-not-allowed": {
    says: "Bluetooth is blocked: this Node may not open raw Bluetooth sockets",
    hint: `Allow it once (again after each update of Node): sudo setcap cap_net_raw+eip ${node}, from package libcap2-bin; on macOS allow Bluetooth for the terminal program. Serial gauges work without it.`,
  },
  "bluetooth-off": { says: "The Bluetooth adapter is off", hint: "Switch it on: rfkill unblock bluetooth; bluetoothctl power on." },
  "bluetooth-unsupported": {
    says: "This Bluetooth adapter has no Low Energy",
    hint: "Use an adapter of Bluetooth 4.0 or later; choose among several with NOBLE_HCI_DEVICE_ID=1.",
  },
  "bluetooth-not-found": {
    says: "The gauge was not heard",
    hint: "Switch it on, bring it nearer, disconnect it from a telephone that may hold it, and look with: staunch gauges find.",
    showDetail: true,
  },
  "bluetooth-no-link": {
    says: "The gauge was heard, but no connection could be made",
    hint: "Bring it nearer, disconnect it from a telephone that may hold it, switch it off and on.",
    showDetail: true,
  },
  "bluetooth-wrong-profile": {
    says: "The gauge does not have the characteristic that was looked for",
    hint: "profile=ess needs pressure (2A6D); for profile=uart check service, notify and write against the gauge's manual.",
    showDetail: true,
  },
  "bluetooth-failed": { says: "Bluetooth failed", hint: "Switch adapter and gauge off and on and try again.", showDetail: true },
});

/** Why Bluetooth cannot be used, for people; exit 69. */
export function bluetoothTrouble(code: TroubleCode, detail: string): StaunchError {
  const { says, hint, showDetail } = advice(process.execPath)[code];
  return new StaunchError({
    code,
    message: showDetail ? `${says} (${plainText(detail, 120)}).` : `${says}.`,
    hint,
    exit: EXIT.gauge,
    cause: new Error(detail),
  });
}
