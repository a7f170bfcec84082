import { spawn } from "node:child_process";
import { once } from "node:events";
import { Watched } from "./until.ts";

const SCRIPT = new URL("pty_line.py", import.meta.url).pathname;

/** The gauge's end of a pseudo-terminal held by a small python program; the other end is at the link. */
export interface Pty {
  /** The slave's real name, `/dev/pts/N`. */
  slave: string;
  /** Everything the program under test has written, as Latin-1 text. */
  heard(): string;
  say(text: string): void;
  untilHeard(text: string): Promise<void>;
  /** Pulls the line: the tty is gone, as a USB adapter pulled out would be. */
  hang(): Promise<void>;
  end(): Promise<void>;
}

/** Makes a pseudo-terminal whose slave side is reached by `link`. */
export async function openPty(link: string): Promise<Pty> {
  const child = spawn("python3", [SCRIPT, link], { stdio: ["pipe", "pipe", "inherit"] });
  const exited = once(child, "exit");
  const watched = new Watched();
  let rest = "";
  let heard = "";
  let slave = "";
  let hung = false;
  child.stdout.setEncoding("latin1").on("data", (text: string) => {
    const lines = (rest + text).split("\n");
    rest = lines.pop() ?? "";
    for (const line of lines) {
      if (line.startsWith("ready ")) slave = line.slice(6);
      if (line.startsWith("r ")) heard += Buffer.from(line.slice(2), "hex").toString("latin1");
      if (line === "hung") hung = true;
    }
    watched.changed();
  });
  await watched.until("a pseudo-terminal", () => slave !== "");
  return {
    slave,
    heard: () => heard,
    say: (text) => child.stdin.write(`w ${Buffer.from(text, "latin1").toString("hex")}\n`),
    untilHeard: (text) => watched.until(`${JSON.stringify(text)} on the line`, () => heard.includes(text)),
    hang: async () => {
      child.stdin.write("hang\n");
      await watched.until("the line to be gone", () => hung);
    },
    end: async () => {
      child.stdin.end();
      await exited;
    },
  };
}
