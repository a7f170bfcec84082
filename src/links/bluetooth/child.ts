/**
 * The process that holds the Bluetooth stack: its connect blocks, its import opens sockets, it writes to the terminal and never ends by itself.
 * Forked by src/links/bluetooth/childProcess.ts; a bundle of its own.
 */
import { openAdapter, troubleIn } from "./adapter.ts";
import { addressOf, look, nameOf } from "./looking.ts";
import type { FromChild, ToChild } from "./messages.ts";
import { Watch } from "./watch.ts";

const now_ms = (): number => Number(process.hrtime.bigint() / 1000n) / 1000;

/** Behind a parent that is gone there is nobody to tell. */
const tell = (message: FromChild): void => void (process.connected && process.send?.(message));

const adapter = openAdapter();
let watch: Watch | null = null;

/** Told to the end, then the process is over: the stack keeps a timer for ever. */
function giveUp(error: unknown): void {
  const { code, message } = troubleIn(error);
  if (process.connected) process.send?.({ is: "trouble", code, detail: message } satisfies FromChild, () => process.exit(0));
  else process.exit(0);
}

async function scan(): Promise<void> {
  const opened = await adapter;
  await opened.ready();
  await look(
    opened.noble,
    (seen) =>
      tell({
        is: "seen",
        address: addressOf(seen),
        name: nameOf(seen),
        services: seen.advertisement.serviceUuids?.map((uuid) => uuid.padStart(4, "0")) ?? [],
        rssi_dBm: seen.rssi,
      }),
    new Promise<never>(() => {}),
  );
}

async function end(): Promise<void> {
  await watch?.end();
  process.exit(0);
}

async function take(message: ToChild): Promise<void> {
  if (message.do === "sync") tell({ is: "sync", parent_ms: message.parent_ms, child_ms: now_ms() });
  else if (message.do === "scan") await scan();
  else if (message.do === "watch") {
    watch = new Watch(await adapter, message.target, message.channels, tell, now_ms);
    await watch.run();
  } else if (message.do === "write") watch?.write(message.bytes);
  else if (message.do === "again") watch?.again(message.why);
  else await end();
}

/** A Ctrl-C reaches every process of the terminal; the parent closes the record first and then ends this one. */
const stay = (): void => {};
for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, stay);
// The stack ends the process at a Ctrl-C when its own listener is the last, and adds that when it opens the adapter: one more behind it.
adapter.then(() => setImmediate(() => process.on("SIGINT", () => stay())), giveUp);
process.on("message", (message: ToChild) => void take(message).catch(giveUp));
process.on("disconnect", () => process.exit(0));
process.on("uncaughtException", giveUp).on("unhandledRejection", giveUp);
