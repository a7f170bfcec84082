import { spawn } from "node:child_process";
import { once } from "node:events";
import { Watched } from "./until.ts";

const SCRIPT = new URL("pty_pair.py", import.meta.url).pathname;

/** A serial line with a port at each end, for two programs. */
export async function openPtyPair(): Promise<{ ports: [string, string]; end(): Promise<void> }> {
  const child = spawn("python3", [SCRIPT], { stdio: ["pipe", "pipe", "inherit"] });
  const exited = once(child, "exit");
  const watched = new Watched();
  let said = "";
  child.stdout.setEncoding("utf8").on("data", (text: string) => {
    said += text;
    watched.changed();
  });
  await watched.until("two pseudo-terminals", () => said.split("\n").length === 3);
  const [first = "", second = ""] = said.split("\n");
  return {
    ports: [first, second],
    end: async () => {
      child.stdin.end();
      await exited;
    },
  };
}
