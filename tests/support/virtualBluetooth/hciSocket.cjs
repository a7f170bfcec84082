/**
 * Stands in for the native HCI socket of the Bluetooth stack: preloaded with `node --require`, put in place by name, the stack unchanged.
 *
 *     VIRTUAL_HCI=/path.sock      packets go to a controller behind this socket; 0x00 and 0x01 from there: adapter off, on
 *     VIRTUAL_HCI_REFUSE=EPERM    writing is refused, as without the permission; ENODEV, EAFNOSUPPORT: opening; MODULE: the addon is not built; OFF
 *     VIRTUAL_NOISE=1             a forked process writes to both its streams at once
 *     VIRTUAL_SPEED=20            so many virtual seconds in a real one, for timers and for the stamps
 */
const { EventEmitter } = require("node:events");
const Module = require("node:module");
const net = require("node:net");

const NAME = "@abandonware/bluetooth-hci-socket";
const { VIRTUAL_HCI: place, VIRTUAL_HCI_REFUSE: refusal } = process.env;
const speed = Number(process.env.VIRTUAL_SPEED ?? 1);

const failure = (code) => Object.assign(new Error(`${code}, refused by the test`), { code, syscall: "bind" });

class VirtualHciSocket extends EventEmitter {
  #socket = null;
  #isUp = true;
  #isStarted = false;
  #filter = null;
  #held = Buffer.alloc(0);

  constructor() {
    super();
    if (refusal === "EAFNOSUPPORT") throw failure("EAFNOSUPPORT");
  }

  bindRaw(device) {
    if (refusal === "ENODEV" || place === undefined) throw failure("ENODEV");
    this.#socket = net.connect(place);
    this.#socket.on("data", (chunk) => this.#take(chunk));
    this.#socket.on("error", () => {});
    this.#socket.on("close", () => {
      this.#isUp = false;
    });
    return device ?? 0;
  }

  isDevUp() {
    return this.#isUp && refusal !== "OFF";
  }

  start() {
    this.#isStarted = true;
  }

  stop() {
    this.#isStarted = false;
    this.#socket?.destroy();
  }

  setFilter(filter) {
    this.#filter = { types: filter.readUInt32LE(0), events: [filter.readUInt32LE(4), filter.readUInt32LE(8)] };
  }

  write(packet) {
    if (refusal === "EPERM") setImmediate(() => this.emit("error", failure("EPERM")));
    else this.#socket?.write(packet);
  }

  /** Packets and words about the adapter, which are bytes no packet begins with. */
  #take(chunk) {
    this.#held = Buffer.concat([this.#held, chunk]);
    for (;;) {
      const [type] = this.#held;
      if (type === 0 || type === 1) {
        this.#isUp = type === 1;
        this.#held = this.#held.subarray(1);
        continue;
      }
      if (this.#held.length < (type === 4 ? 3 : 5)) return;
      const length = type === 4 ? 3 + this.#held[2] : 5 + this.#held.readUInt16LE(3);
      if (this.#held.length < length) return;
      const packet = Buffer.from(this.#held.subarray(0, length));
      this.#held = this.#held.subarray(length);
      if (this.#isStarted && this.#passes(packet)) this.emit("data", packet);
    }
  }

  /** As the kernel does it: types by bit, events by bit of their code. */
  #passes(packet) {
    if (this.#filter === null) return true;
    if ((this.#filter.types & (1 << packet[0])) === 0) return false;
    return packet[0] !== 4 || ((this.#filter.events[packet[1] >> 5] >>> (packet[1] & 31)) & 1) === 1;
  }
}

const load = Module._load;
Module._load = function loadInstead(request, ...rest) {
  if (request !== NAME) return load.call(this, request, ...rest);
  if (refusal === "MODULE")
    throw Object.assign(new Error("Cannot find module '../build/Release/bluetooth_hci_socket.node'"), { code: "MODULE_NOT_FOUND" });
  return VirtualHciSocket;
};

if (speed !== 1) {
  const { setTimeout: realTimeout } = globalThis;
  const realTime = process.hrtime.bigint;
  globalThis.setTimeout = (action, wait_ms = 0, ...rest) => realTimeout(action, wait_ms / speed, ...rest);
  process.hrtime.bigint = () => realTime() * BigInt(speed);
}
// The real stack writes warnings to the terminal; so must its stand-in, or a test could not see that none gets through.
if (process.env.VIRTUAL_NOISE !== undefined && process.send !== undefined) {
  process.stdout.write("NOISE on stdout\n");
  process.stderr.write("NOISE on stderr\n");
}
