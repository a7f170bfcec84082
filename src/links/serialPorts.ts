import { readdirSync, readFileSync, realpathSync, statSync } from "node:fs";

/** A serial port of this machine. What the adapter says of itself is untrusted text; `null`: it does not say. */
export interface FoundPort {
  /** The name to write down: by-id where there is one, for it stays when adapters are plugged in another order. */
  path: string;
  /** The kernel's name for it now, e.g. `/dev/ttyUSB0`. */
  device: string;
  /** Four hexadecimal digits each. */
  vendorId: string | null;
  productId: string | null;
  maker: string | null;
  product: string | null;
  serial: string | null;
}

/** What the port library's own list gives; it may fail altogether, as where udev is not installed. */
export interface ListedPort {
  path: string;
  manufacturer?: string | undefined;
  serialNumber?: string | undefined;
  vendorId?: string | undefined;
  productId?: string | undefined;
}

export interface PortSources {
  list(): Promise<readonly ListedPort[]>;
  /** Put before /dev and /sys; empty on a real machine. */
  root: string;
}

const realSources: PortSources = {
  list: async () => (await import("serialport")).SerialPort.list(),
  root: "",
};

/** Names under which hardware ports go; a pseudo-terminal (`pts/3`, `ttyp0`) or a console (`tty1`) is none. */
const HARDWARE = /^(?:rfcomm|tty(?:USB|ACM|AMA|XRUSB|mxc|THS|O))\d+$/;
const BUILT_IN = /^ttyS\d+$/;
const LONGEST_TEXT = 200;

/** Every serial port, sorted by name: from the library's list, /dev/serial/by-id, /dev and /sys/class/tty, whichever of them work. Never rejects. */
export async function serialPorts(sources: PortSources = realSources): Promise<FoundPort[]> {
  const { root } = sources;
  const listed = await sources.list().catch(() => []);
  const byId = stableNames(root);
  const devices = new Set([
    ...listed.map(({ path }) => path).filter((path) => !isPseudo(path)),
    ...byId.keys(),
    ...entries(`${root}/dev`).flatMap((name) => (HARDWARE.test(name) ? [`/dev/${name}`] : [])),
    ...entries(`${root}/sys/class/tty`).flatMap((name) => (isRealTty(root, name) ? [`/dev/${name}`] : [])),
  ]);
  const ports = [...devices].map((device) => {
    const own = usbAt(root, device);
    const told = listed.find(({ path }) => path === device);
    return {
      path: byId.get(device) ?? device,
      device,
      vendorId: own.vendorId ?? told?.vendorId?.toLowerCase() ?? null,
      productId: own.productId ?? told?.productId?.toLowerCase() ?? null,
      maker: own.maker ?? told?.manufacturer ?? null,
      product: own.product,
      serial: own.serial ?? told?.serialNumber ?? null,
    };
  });
  return ports.sort((a, b) => a.device.localeCompare(b.device, "en", { numeric: true }));
}

/** What a record keeps of the USB adapter at `path`: `0403:6001 A50285BI`; `null` when it is none or cannot be told. */
export function usbIdentity(path: string, root = ""): string | null {
  const { vendorId, productId, serial } = usbAt(root, path);
  if (vendorId === null || productId === null) return null;
  return `${vendorId}:${productId}${serial === null ? "" : ` ${serial}`}`;
}

type Usb = Omit<FoundPort, "path" | "device">;

const NOT_USB: Usb = { vendorId: null, productId: null, maker: null, product: null, serial: null };
/** tty → port → interface → device is three steps up, four for some adapters. */
const STEPS_UP = 4;

/** The adapter's descriptors as the kernel shows them; they need no udev. */
function usbAt(root: string, path: string): Usb {
  const device = real(`${root}${path}`);
  const name = device?.slice(device.lastIndexOf("/") + 1) ?? path.slice(path.lastIndexOf("/") + 1);
  let folder = real(`${root}/sys/class/tty/${name}/device`);
  for (let up = 0; folder !== null && up <= STEPS_UP; up++) {
    const vendorId = line(`${folder}/idVendor`);
    if (vendorId !== null)
      return {
        vendorId: vendorId.toLowerCase(),
        productId: line(`${folder}/idProduct`)?.toLowerCase() ?? null,
        maker: line(`${folder}/manufacturer`),
        product: line(`${folder}/product`),
        serial: line(`${folder}/serial`),
      };
    folder = folder.slice(0, folder.lastIndexOf("/")) || null;
  }
  return NOT_USB;
}

/** Device → its name under /dev/serial/by-id, which udev makes of maker, product and serial number. */
function stableNames(root: string): Map<string, string> {
  const folder = "/dev/serial/by-id";
  const found = new Map<string, string>();
  for (const name of entries(`${root}${folder}`).sort()) {
    const device = real(`${root}${folder}/${name}`);
    const own = device?.startsWith(root) ? device.slice(root.length) : null;
    if (own !== null && !isPseudo(own) && !found.has(own)) found.set(own, `${folder}/${name}`);
  }
  return found;
}

const isPseudo = (path: string): boolean => /^\/dev\/(?:pts\/|pty|tty[p-za-e][0-9a-f]$)/.test(path);

/** A built-in port is listed by the kernel whether its chip is there or not; type 0 means it is not. */
function isRealTty(root: string, name: string): boolean {
  if (!HARDWARE.test(name) && !BUILT_IN.test(name)) return false;
  if (!isThere(`${root}/dev/${name}`)) return false;
  return HARDWARE.test(name) || (line(`${root}/sys/class/tty/${name}/type`) ?? "0") !== "0";
}

function quietly<T>(action: () => T): T | null {
  try {
    return action();
  } catch {
    return null;
  }
}

const entries = (folder: string): string[] => quietly(() => readdirSync(folder)) ?? [];
const real = (path: string): string | null => quietly(() => realpathSync(path));
const isThere = (path: string): boolean => quietly(() => statSync(path)) !== null;

function line(path: string): string | null {
  const text = quietly(() => readFileSync(path, "utf8"))
    ?.slice(0, LONGEST_TEXT)
    .trim();
  return text === undefined || text === "" ? null : text;
}
