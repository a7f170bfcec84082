import { plainJson, plainText } from "../core/text.ts";
import type { FoundPort } from "../links/serialPorts.ts";

/** A gauge heard over the air. */
export interface HeardGauge {
  /** What a gauge's address is to be, such as `ble://AA:BB:CC:DD:EE:FF?profile=ess`. */
  url: string;
  /** Untrusted. */
  name: string | null;
  signal_dBm: number | null;
}

export interface Finders {
  ports(): Promise<readonly FoundPort[]>;
  /** Listens for gauges over the air; what keeps it from doing so is a complaint, not an end. */
  scan?: (() => Promise<readonly HeardGauge[]>) | undefined;
}

export interface Findings {
  ports: readonly FoundPort[];
  heard: readonly HeardGauge[];
  /** Why nothing could be heard over the air. */
  complaint: unknown;
}

export async function findGauges({ ports, scan }: Finders): Promise<Findings> {
  const heard = scan === undefined ? null : scan();
  const found = await ports();
  try {
    return { ports: found, heard: (await heard) ?? [], complaint: null };
  } catch (complaint) {
    return { ports: found, heard: [], complaint };
  }
}

const said = (text: string | null): string => (text === null ? "" : plainText(text, 60));

function portLine({ path, device, vendorId, productId, maker, product, serial }: FoundPort): string {
  const ids = vendorId === null ? "no USB adapter" : `USB ${said(vendorId)}:${said(productId ?? "?")}`;
  const about = [ids, said(maker), said(product), serial === null ? "" : `no. ${said(serial)}`].filter((part) => part !== "");
  return `${plainText(path, 200)}${path === device ? "" : `  (now ${plainText(device, 60)})`}\n    ${about.join(", ")}`;
}

const heardLine = ({ url, name, signal_dBm }: HeardGauge): string =>
  `${plainText(url, 200)}\n    ${said(name) || "no name"}${signal_dBm === null ? "" : `, ${signal_dBm} dBm`}`;

/** What was found, for people; the address to write down is the first word of each. */
export const findingLines = ({ ports, heard }: Findings): string[] => [...ports.map(portLine), ...heard.map(heardLine)];

export const findingJson = ({ ports, heard }: Findings): string => plainJson({ schema: "staunch/found/1", ports, heard });
