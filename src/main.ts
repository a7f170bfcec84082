#!/usr/bin/env node
import { createReadStream } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import packageFile from "../package.json" with { type: "json" };
import { explain, runWords } from "./commands/frame.ts";
import { COMMANDS } from "./commands/index.ts";
import type { Io } from "./commands/io.ts";
import { dataError } from "./core/errors.ts";
import type { Clock } from "./core/link.ts";

/** The longest a Node timer can wait; longer waits are taken in steps. */
const LONGEST_TIMER_ms = 2 ** 31 - 1;

const clock: Clock = {
  now_ms: () => Math.floor(performance.now()),
  wall_ms: () => Date.now(),
  at(due_ms, action) {
    let timer: NodeJS.Timeout;
    // Node may fire a millisecond early by our rounding, so the time is looked at again before acting.
    const arm = (): void => {
      const left_ms = Math.min(Math.max(due_ms - clock.now_ms(), 0), LONGEST_TIMER_ms);
      timer = setTimeout(() => (clock.now_ms() >= due_ms ? action() : arm()), left_ms);
    };
    arm();
    return () => clearTimeout(timer);
  },
};

/** A reader that goes away (`| head`) must not end a test that is running: what it does not want to hear is dropped. */
function quietOnBrokenPipe(stream: NodeJS.WriteStream): { write(text: string): void; gone(): boolean } {
  let broken = false;
  stream.on("error", (error: NodeJS.ErrnoException) => {
    broken = true;
    if (error.code !== "EPIPE") process.exitCode = 74;
  });
  return {
    write: (text) => void (broken || stream.write(text.endsWith("\n") ? text : `${text}\n`)),
    gone: () => broken,
  };
}

const out = quietOnBrokenPipe(process.stdout);

/** A day of readings a hundred times a second, as text. A device may have no end. */
const LARGEST_FILE = 512 * 2 ** 20;

async function readFile(path: string): Promise<Uint8Array> {
  const chunks: Buffer[] = [];
  let bytes = 0;
  try {
    for await (const chunk of path === "-" ? process.stdin : createReadStream(path)) {
      chunks.push(chunk);
      bytes += chunk.length;
      if (bytes > LARGEST_FILE) break;
    }
  } catch (cause) {
    const isMissing = cause instanceof Error && "code" in cause && cause.code === "ENOENT";
    const reason = isMissing ? "there is no such file" : "it cannot be read";
    throw dataError("file-unreadable", `${JSON.stringify(path)}: ${reason}.`, "Check the path and who may read it.", cause);
  }
  if (bytes > LARGEST_FILE)
    throw dataError("file-too-large", `${JSON.stringify(path)} is larger than 512 MB.`, "Check that it is the file you mean.");
  return Buffer.concat(chunks);
}

function onLine(listener: (line: string) => void): () => void {
  const lines = createInterface({ input: process.stdin, terminal: false }).on("line", listener);
  return () => lines.close();
}

function onInterrupt(listener: () => void): () => void {
  process.on("SIGINT", listener).on("SIGTERM", listener).on("SIGHUP", listener);
  return () => process.off("SIGINT", listener).off("SIGTERM", listener).off("SIGHUP", listener);
}

const io: Io = {
  out: out.write,
  err: quietOnBrokenPipe(process.stderr).write,
  outGone: out.gone,
  env: process.env,
  stdinIsTty: process.stdin.isTTY === true,
  stdoutIsTty: process.stdout.isTTY === true,
  terminal: process.stdin.isTTY && process.stdout.isTTY ? { stdin: process.stdin, stdout: process.stdout } : null,
  columns: () => process.stdout.columns || 80,
  rows: () => process.stdout.rows || 24,
  clock,
  bluetoothChild: fileURLToPath(new URL("./bluetooth-child.js", import.meta.url)),
  readFile,
  onLine,
  onInterrupt,
};

async function defaultArchive(): Promise<string> {
  const { default: envPaths } = await import("env-paths");
  return join(envPaths("staunch", { suffix: "" }).data, "archive.sqlite");
}

function end(code: number): void {
  // Some libraries keep timers for ever, so the process is ended; first what was written has to be out.
  process.stdout.write("", () => process.stderr.write("", () => process.exit(process.exitCode ?? code)));
}

function fail(error: unknown): void {
  const { text, exit } = explain(error, process.env);
  io.err(text);
  end(exit);
}

process.on("uncaughtException", fail).on("unhandledRejection", fail);
runWords(process.argv.slice(2), io, {
  version: packageFile.version,
  commands: COMMANDS,
  defaultArchive,
}).then(end, fail);
