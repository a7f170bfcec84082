import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

/** The replay screen of the built program in another people's terminal, tmux: played, scrubbed, left. */
const PROGRAM = fileURLToPath(new URL("../../dist/staunch.js", import.meta.url));
const BOUND_MS = 60_000;

let folder = "";
const socket = `staunch-replay-${process.pid}`;
const tmux = (...words: string[]): string => execFileSync("tmux", ["-L", socket, ...words], { encoding: "utf8", timeout: BOUND_MS });
const archive = (): string => join(folder, "site.staunch");

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "staunch-replay-"));
  const test = [
    "test",
    "--gauge",
    "sim://?leak=0.5&seed=7",
    "--pace",
    "100000",
    "--method",
    "en1610-lc",
    "--dn",
    "150",
    "--laid-length",
    "45",
    "--json",
  ];
  execFileSync(process.execPath, [PROGRAM, "--archive", archive(), ...test], {
    timeout: BOUND_MS,
    env: { ...process.env, STAUNCH_KEY: join(folder, "key.pem") },
    stdio: "ignore",
  });
});
afterAll(() => {
  try {
    tmux("kill-server");
  } catch {
    // It has gone by itself with its last window.
  }
  rmSync(folder, { recursive: true, force: true });
});

/** A window of that size in which the last record is replayed. */
function opened(name: string, columns: number, rows: number, environment: string, words: string) {
  const log = join(folder, `${name}.log`);
  tmux("-f", "/dev/null", "new-session", "-d", "-s", name, "-x", String(columns), "-y", String(rows), "sh");
  tmux("pipe-pane", "-t", name, "-o", `cat > ${log}`);
  const command = `STAUNCH_KEY=${join(folder, "key.pem")} ${environment} node ${PROGRAM} --archive ${archive()} replay last ${words}`;
  tmux("send-keys", "-t", name, `${command}; tmux -L ${socket} wait-for -S ${name}`, "Enter");
  return {
    press: (key: string) => tmux("send-keys", "-t", name, key),
    /** Waits until the window shows all of this; what it shows then. */
    sees(...texts: string[]): string {
      const until_ms = Date.now() + BOUND_MS;
      for (;;) {
        const shown = tmux("capture-pane", "-p", "-t", name);
        if (texts.every((text) => shown.includes(text))) return shown;
        if (Date.now() > until_ms) throw new Error(`not seen: ${texts.join(" · ")} in\n${shown}`);
      }
    },
    /** Goes back event by event; what the window shows there. */
    goesBackTo(text: string): string {
      let shown = tmux("capture-pane", "-p", "-t", name);
      for (let events = 0; events < 8 && !shown.includes(text); events++) {
        const before = shown;
        tmux("send-keys", "-t", name, "p");
        const until_ms = Date.now() + BOUND_MS;
        while (shown === before && Date.now() < until_ms) shown = tmux("capture-pane", "-p", "-t", name);
        // A frame may have been caught half drawn.
        if (!shown.includes(text)) shown = tmux("capture-pane", "-p", "-t", name);
      }
      return this.sees(text);
    },
    left(): { written: string; after: string } {
      tmux("send-keys", "-t", name, "q");
      tmux("wait-for", name);
      const after = tmux("capture-pane", "-p", "-t", name);
      tmux("kill-session", "-t", name);
      return { written: readFileSync(log, "utf8"), after };
    },
  };
}

describe("the replay screen in tmux", () => {
  it.each([
    { columns: 80, rows: 24, environment: "" },
    { columns: 120, rows: 40, environment: "NO_COLOR=1" },
  ])("plays, scrubs both ways and is left in $columns × $rows $environment", ({ columns, rows, environment }) => {
    const window = opened(`w${columns}`, columns, rows, environment, "--speed 1000");
    // Played to its end by itself.
    window.sees("as recorded, to the last digit", "PASS: tight by this method", "SIMULATED");
    // Back into the hold by event, and the same again from the other side.
    const back = window.goesBackTo("V Hold over.");
    expect(back).toContain("[ VENT ]");
    window.press("Home");
    window.sees("0:00.0 of");
    window.press("g");
    window.press("8:20");
    window.sees("go to time: 8:20_");
    window.press("Enter");
    window.sees("[ HOLD ]", "8:20.0 of");
    if (columns < 100) window.press("b");
    window.sees("bytes of the gauge line", "▸   8:20.0 ←");
    window.press("Right");
    window.press("Right");
    window.press("Left");
    window.sees("8:21.0 of");
    if (columns < 100) window.press("b");
    window.press("n");
    expect(window.sees("V Hold over.").split("\n").slice(0, 8)).toEqual(back.split("\n").slice(0, 8));
    const { written, after } = window.left();
    expect(written).toContain("\u001b[?1049h");
    expect(written.lastIndexOf("\u001b[?1049l")).toBeGreaterThan(written.lastIndexOf("\u001b[?1049h"));
    expect(after).toContain("PASS: tight by this method");
    expect(after).toContain("replay: the verdict is the recorded one, to the last digit");
    expect(written.split("\u001b[").some((part) => /^[0-9;]*3[1-7]m/.test(part))).toBe(environment === "");
  });

  it("what if stands above the screen, with the recorded verdict", () => {
    const window = opened("whatif", 120, 40, "", "--rule guarded --unfiltered --speed 1000");
    window.sees(" WHAT IF ", "rule guarded, unfiltered · nothing recorded is changed", "what if: PASS", "recorded: PASS");
    window.press("w");
    window.sees(" REPLAY ", "as recorded, to the last digit");
    window.press("?");
    window.sees("KEYS OF THE REPLAY");
    window.press("u");
    window.sees(" WHAT IF ", "rule guarded · nothing recorded is changed");
    window.press("r");
    window.sees(" REPLAY · sealed ", "as recorded, to the last digit");
    expect(window.left().after).toContain("what if: rule guarded, unfiltered; the recorded verdict is PASS, and nothing was changed");
  });
});
