import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

/** The built program in another people's terminal, tmux: what it draws there, and that it gives the terminal back. */
const PROGRAM = fileURLToPath(new URL("../../dist/staunch.js", import.meta.url));
const BOUND_MS = 60_000;

let folder = "";
const socket = `staunch-${process.pid}`;
const tmux = (...words: string[]): string => execFileSync("tmux", ["-L", socket, ...words], { encoding: "utf8", timeout: BOUND_MS });

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "staunch-tmux-"));
});
afterAll(() => {
  try {
    tmux("kill-server");
  } catch {
    // It has gone by itself with its last window.
  }
  rmSync(folder, { recursive: true, force: true });
});

/** Runs a simulated test to its end in a window of that size; what was written there, and what stands there afterwards. */
function watched(name: string, columns: number, rows: number, environment: string): { written: string; after: string } {
  const log = join(folder, `${name}.log`);
  const command = `${environment} STAUNCH_KEY=${join(folder, "key.pem")} node ${PROGRAM} --archive ${join(folder, `${name}.staunch`)} test --gauge 'sim://?leak=0.5&seed=7' --pace 250 --method en1610-lc --dn 150 --laid-length 45`;
  tmux("-f", "/dev/null", "new-session", "-d", "-s", name, "-x", String(columns), "-y", String(rows), "sh");
  tmux("pipe-pane", "-t", name, "-o", `cat > ${log}`);
  tmux("send-keys", "-t", name, `${command}; tmux -L ${socket} wait-for -S ${name}`, "Enter");
  tmux("wait-for", name);
  const after = tmux("capture-pane", "-p", "-t", name);
  tmux("kill-session", "-t", name);
  return { written: readFileSync(log, "utf8"), after };
}

describe("the hands-free screen in tmux", () => {
  it.each([
    { columns: 80, rows: 24, environment: "" },
    { columns: 120, rows: 40, environment: "NO_COLOR=1" },
  ])("runs a test to its verdict in $columns × $rows $environment", ({ columns, rows, environment }) => {
    const { written, after } = watched(`w${columns}`, columns, rows, environment);
    for (const phase of ["CHARGE", "SETTLE", "HOLD", "VENT"]) expect(written).toContain(`[ ${phase} ]`);
    expect(written).toContain("\u001b[?1049h");
    expect(written.lastIndexOf("\u001b[?1049l")).toBeGreaterThan(written.lastIndexOf("\u001b[?1049h"));
    expect(after).toContain("PASS: tight by this method");
    expect(after).toContain("SIMULATED: proves no section");
    const coloured = written.split("\u001b[").some((part) => /^[0-9;]*3[1-7]m/.test(part));
    expect(coloured).toBe(environment === "");
  });
});

describe("a gauge watched in tmux", () => {
  it.each([
    { columns: 80, rows: 24, environment: "" },
    { columns: 120, rows: 40, environment: "NO_COLOR=1" },
  ])("fills $columns × $rows $environment and gives the terminal back", ({ columns, rows, environment }) => {
    const name = `live${columns}`;
    const log = join(folder, `${name}.log`);
    const command = `${environment} node ${PROGRAM} live --gauge 'sim://?leak=2&seed=7' --pace 100 --seconds 400 --dn 150 --laid-length 45 --sound; echo ended $?`;
    tmux("-f", "/dev/null", "new-session", "-d", "-s", name, "-x", String(columns), "-y", String(rows), "sh");
    tmux("pipe-pane", "-t", name, "-o", `cat > ${log}`);
    tmux("send-keys", "-t", name, `${command}; tmux -L ${socket} wait-for -S ${name}`, "Enter");
    tmux("wait-for", name);
    const after = tmux("capture-pane", "-p", "-t", name);
    tmux("kill-session", "-t", name);
    const written = readFileSync(log, "utf8");
    expect(written).toContain("L/min of free air (DN 150, 45 m)");
    expect(written).toContain("SIMULATED");
    expect(written).toContain("\u0007");
    expect(written.lastIndexOf("\u001b[?1049l")).toBeGreaterThan(written.lastIndexOf("\u001b[?1049h"));
    expect(after).toContain("1999 readings in 400.0 s.");
    expect(after).toContain("ended 0");
  });
});
