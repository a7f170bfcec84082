/**
 * A thousand readings a second on one serial line (a pseudo-terminal, the real port library): is any lost or out of order, and what
 * share of a core does it take without a screen? `serial [minutes]`, 1 unless told. Run twice: as `test` does it (journal on disk, judge)
 * and as `live` does it. Goal of the issue: nothing lost, at most 25 % of a core.
 */
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { Subject } from "rxjs";
import { findDriver } from "../../drivers/index.ts";
import type { Reading } from "../../src/core/driver.ts";
import { LiveGauge } from "../../src/core/live/liveGauge.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import { serialLink } from "../../src/links/serial.ts";
import { watchGauge } from "../../src/session/liveSession.ts";
import { runSession } from "../../src/session/session.ts";
import { openArchive } from "../../src/storage/open.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { realClock } from "../support/realClock.ts";
import { sampleStart } from "../support/records.ts";

const RATE_Hz = 1000;
const GOAL_SHARE = 0.25;
const minutes = Number(process.argv[2] ?? 1);

/** Counts readings and those that are not the one after the last. */
class Tally {
  count = 0;
  wrong = 0;

  take(readings: readonly Reading[]): void {
    for (const { pressure_Pa } of readings) {
      if (Math.round((pressure_Pa ?? 0) * 1000) !== this.count % 1000) this.wrong++;
      this.count++;
    }
  }
}

function fail(why: unknown): never {
  console.error("over before its time:", why);
  process.exit(1);
}

type Watch = (link: ReturnType<typeof serialLink>, folder: string, tally: Tally) => () => Promise<void>;

const asTest: Watch = (link, folder, tally) => {
  const archive = openArchive(join(folder, "bench.staunch"), { mode: "write" });
  const start = { ...sampleStart(), limits: limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 50 }) };
  const writer = createRecord(archive, start, realClock);
  const session = runSession({ link, driver: findDriver("line").create({}), start, journal: (event) => writer.append(event) });
  // A gauge at rest: a judge that saw a charge would end the test by and by, and the line with it.
  const following = session.subscribe({
    next: ({ readings }) => tally.take(readings),
    error: fail,
    complete: () => fail("the test ended"),
  });
  return async () => {
    following.unsubscribe();
    archive.close();
  };
};

const asLive: Watch = (link, _, tally) => {
  const gauge = new LiveGauge({ reference: "vented", volume_m3: 1 });
  const keys = new Subject<string>();
  const parts = { link, driver: findDriver("line").create({}), gauge, keys, patience_ms: 20_000 };
  const following = watchGauge(parts).subscribe({
    next: ({ readings }) => tally.take(readings),
    error: fail,
    complete: () => fail("it ended"),
  });
  return async () => following.unsubscribe();
};

async function run(name: string, watch: Watch): Promise<boolean> {
  const folder = mkdtempSync(join(tmpdir(), "staunch-serial-"));
  const path = join(folder, "gauge");
  const feed = spawn("python3", [fileURLToPath(new URL("serial_feed.py", import.meta.url)), path, String(RATE_Hz), String(minutes * 60)], {
    stdio: ["pipe", "pipe", "inherit"],
  });
  const exited = once(feed, "exit");
  const lines = createInterface({ input: feed.stdout })[Symbol.asyncIterator]();
  await lines.next();
  const tally = new Tally();
  const end = watch(serialLink({ path, baud: 115_200, clock: realClock }), folder, tally);
  await new Promise((resolve) => setTimeout(resolve, 500));
  const cpu = process.cpuUsage();
  const from_ms = performance.now();
  feed.stdin.write("go\n");
  const said = String((await lines.next()).value).split(" ");
  const sent = Number(said[1]);
  // What is still in the line's buffer; bounded, for what is lost never comes.
  for (let i = 0; i < 50 && tally.count < sent; i++) await new Promise((resolve) => setTimeout(resolve, 20));
  const used = process.cpuUsage(cpu);
  const share = (used.user + used.system) / 1000 / (performance.now() - from_ms);
  await end();
  feed.stdin.end();
  await exited;
  rmSync(folder, { recursive: true });
  const good = tally.count === sent && tally.wrong === 0 && share <= GOAL_SHARE;
  console.log(
    `${name}: ${sent} lines sent at ${RATE_Hz}/s (the latest ${said[2]} ms late), ${tally.count} read, ${tally.wrong} out of order, ` +
      `${(share * 100).toFixed(1)} % of a core   goal: all, in order, at most ${GOAL_SHARE * 100} %: ${good ? "ok" : "OVER"}`,
  );
  return good;
}

const results = [await run("as test", asTest), await run("as live", asLive)];
process.exit(results.every((good) => good) ? 0 : 1);
