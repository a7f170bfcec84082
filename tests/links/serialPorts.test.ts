import { mkdirSync, realpathSync, symlinkSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import { type ListedPort, serialPorts, usbIdentity } from "../../src/links/serialPorts.ts";
import { temporaryFolder } from "../support/archives.ts";

/** A machine's /dev and /sys as the kernel lays them out (Documentation/ABI/stable/sysfs-bus-usb, from memory), made up here. */
let root = "";
const noUdev = (): Promise<ListedPort[]> => Promise.reject(new Error("spawn udevadm ENOENT"));
const find = (list: () => Promise<ListedPort[]> = noUdev) => serialPorts({ root, list });

function put(path: string, text = ""): void {
  mkdirSync(dirname(join(root, path)), { recursive: true });
  writeFileSync(join(root, path), text);
}

function link(path: string, target: string): void {
  mkdirSync(dirname(join(root, path)), { recursive: true });
  symlinkSync(target, join(root, path));
}

function plug(name: string, place: string, about: Record<string, string>): void {
  const usb = `sys/devices/pci0/usb1/${place}`;
  for (const [file, text] of Object.entries(about)) put(`${usb}/${file}`, `${text}\n`);
  const port = name.startsWith("ttyUSB") ? `${usb}/${place}:1.0/${name}` : `${usb}/${place}:1.0`;
  put(`${port}/tty/${name}/dev`, "188:0");
  link(`${port}/tty/${name}/device`, name.startsWith("ttyUSB") ? `../../../${name}` : `../../../${place}:1.0`);
  link(`sys/class/tty/${name}`, join(root, port, "tty", name));
  put(`dev/${name}`);
}

const FTDI = { idVendor: "0403", idProduct: "6001", manufacturer: "Hill & Vale", product: "USB lead", serial: "A50285BI" };

beforeEach(() => {
  root = realpathSync(temporaryFolder());
});

describe("serial ports", () => {
  it("without udev are found with their USB ids and stable names", async () => {
    plug("ttyUSB0", "1-1", FTDI);
    plug("ttyACM0", "1-2", { idVendor: "2E8A", idProduct: "000a" });
    link("dev/serial/by-id/usb-Hill_Vale_USB_lead_A50285BI-if00-port0", "../../ttyUSB0");
    expect(await find()).toEqual([
      { path: "/dev/ttyACM0", device: "/dev/ttyACM0", vendorId: "2e8a", productId: "000a", maker: null, product: null, serial: null },
      {
        path: "/dev/serial/by-id/usb-Hill_Vale_USB_lead_A50285BI-if00-port0",
        device: "/dev/ttyUSB0",
        vendorId: "0403",
        productId: "6001",
        maker: "Hill & Vale",
        product: "USB lead",
        serial: "A50285BI",
      },
    ]);
  });

  it("are never pseudo-terminals, consoles or chips that are not there", async () => {
    for (const name of ["pts/3", "ptmx", "tty1", "ttyp0", "ttyS0", "ttyS1"]) put(`dev/${name}`);
    put("sys/class/tty/ttyS0/type", "4\n");
    put("sys/class/tty/ttyS1/type", "0\n");
    put("sys/class/tty/tty1/dev");
    link("dev/serial/by-id/fake", "../../pts/3");
    link("dev/serial/by-id/gone", "../../ttyUSB9");
    const listed = async () => [{ path: "/dev/pts/3" }];
    expect((await find(listed)).map(({ path }) => path)).toEqual(["/dev/ttyS0"]);
  });

  it("take what only the library knows, once", async () => {
    plug("ttyUSB0", "1-1", FTDI);
    const listed = async () => [
      { path: "/dev/ttyUSB0", manufacturer: "other" },
      { path: "COM3", vendorId: "1A86", manufacturer: "M" },
    ];
    const found = await find(listed);
    expect(found.map(({ device, vendorId, maker }) => [device, vendorId, maker])).toEqual([
      ["/dev/ttyUSB0", "0403", "Hill & Vale"],
      ["COM3", "1a86", "M"],
    ]);
  });

  it("are none on a machine that has none", async () => {
    expect(await find()).toEqual([]);
  });

  it("on this very machine are listed without an error", async () => {
    for (const { path } of await serialPorts()) expect(path).not.toMatch(/pts/);
  });
});

describe("a USB identity", () => {
  it("goes by the adapter, by whatever name it is reached", () => {
    plug("ttyUSB0", "1-1", FTDI);
    link("dev/serial/by-id/lead", "../../ttyUSB0");
    expect(usbIdentity("/dev/serial/by-id/lead", root)).toBe("0403:6001 A50285BI");
    expect(usbIdentity("/dev/ttyUSB0", root)).toBe("0403:6001 A50285BI");
  });

  it("is none for a port that is no USB adapter", () => {
    put("dev/ttyS0");
    expect(usbIdentity("/dev/ttyS0", root)).toBeNull();
    expect(usbIdentity("/dev/nowhere", root)).toBeNull();
  });
});
