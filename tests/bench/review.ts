import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { inflateRawSync } from "node:zlib";
import type { Curve } from "../../src/core/curve.ts";
import { find } from "../../src/core/review/find.ts";
import { summarise } from "../../src/core/review/summary.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { keepCurve, keptCurve } from "../../src/storage/reviewCurves.ts";
import { reviewBook } from "../../src/storage/reviewLines.ts";
import { sampleStart, sampleVerdict } from "../support/records.ts";

/** Lists, searches, counts and curves of 100 000 records against the barest statements over the same file, in interleaved rounds of one run. */
const RECORDS = 100_000;
const READINGS = 6000;
const CURVES = 200;
const ROUNDS = 15;
const LIST_GOAL_MS = 5;
const COUNT_GOAL = 1.5;
const CURVE_GOAL = 3;

const day0_ms = Date.UTC(2024, 0, 1);
const pick = <T>(list: readonly T[], i: number): T => list[i % list.length] ?? (list[0] as T);

/** Lines alone; the rows they are derived from only as far as lists look at them. Invented throughout. */
function fill(archive: Archive): void {
  const { db } = archive;
  const record = db.prepare("insert into records values (?, ?, ?, 'gauge', ?, ?, ?, ?)");
  const end = db.prepare("insert into ends values (?, ?, ?, ?)");
  const line = db.prepare("insert into review_lines values (?, 1, ?, ?, ?, ?, ?, ?, ?, 'gauge', ?, ?, ?, ?, ?, ?)");
  // As wide as real ones: a bare scan that reads them must pay for them.
  const start = JSON.stringify(sampleStart());
  const verdict = JSON.stringify(sampleVerdict(sampleStart()));
  db.transaction(() => {
    for (let i = 1; i <= RECORDS; i++) {
      const at_ms = day0_ms + i * 600_000;
      const id = `${new Date(at_ms).toISOString().replaceAll(/[-:]/g, "").replace("T", "-").slice(0, 15)}-${((i * 7919) % 1_679_616).toString(36).padStart(4, "0")}`;
      const section = `S${i % 20_000}-S${(i % 20_000) + 1} ${pick(["Mill Lane", "Elder Brook", "Tarn Road"], i)}`;
      const word = pick(["pass", "pass", "pass", "pass", "fail", "void", "inconclusive"], i);
      const [stage, method] = [pick(["laid", "covered"], i), pick(["en1610-lc", "en1610-la", "uk-100mm"], i)];
      record.run(i, id, at_ms, section, stage, method, start);
      end.run(i, at_ms + 900_000, word, verdict);
      const differs = i % 50 === 0 ? 1 : 0;
      const state = pick(["unreviewed", "accepted", "returned"], i >> 3);
      const told = [`gauge ${i % 12}`, `T. Tester ${i % 30}`, word, pick(["", "cooling", "wind spikes"], i), (i % 120) / 100];
      line.run(i, id, at_ms, section, stage, method, ...told, differs === 1 ? "void" : word, differs, state);
    }
  })();
}

/** A fall with noise of a count or two, 0.1 Pa each, ten readings a second with stamps that tremble by some milliseconds. */
function curveOf(seed: number): Curve {
  let state = seed * 2_654_435_761;
  // Linear congruential (Numerical Recipes' constants, from memory): noise that does not repeat, or deflating would find it out.
  const dice = (): number => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
  const noise = (): number => dice() + dice() + dice() - 1.5;
  return {
    time_s: Float64Array.from({ length: READINGS }, (_, i) => (i * 100 + Math.round(noise() * 3)) / 1000),
    pressure_Pa: Float64Array.from({ length: READINGS }, (_, i) => Math.round(100_000 - i * 2 + noise() * 2) / 10),
    air_C: Float64Array.from({ length: READINGS }, (_, i) => Math.round(150 + Math.sin(i / 900) * 8 + noise()) / 10),
    ambient_Pa: null,
  };
}

function timed_ms(action: () => unknown): number {
  const from = process.hrtime.bigint();
  action();
  return Number(process.hrtime.bigint() - from) / 1e6;
}

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

let good = true;
function judged(text: string, isGood: boolean): void {
  console.log(`${text}: ${isGood ? "ok" : "OVER"}`);
  good &&= isGood;
}

const dayOf = (wall_ms: number): string => new Date(wall_ms).toISOString().slice(0, 10);
const QUERIES = [
  "",
  "fail",
  "mill",
  "s123",
  "zzz",
  "a7f",
  "unreviewed differs -pass",
  "since:2025-01 tester:3 covered",
  '"elder brook" wind',
];

/** Once a session: told, not judged. */
function loads(archive: Archive): void {
  const scan = archive.db.prepare("select * from review_lines").raw();
  const rounds = Array.from({ length: 3 }, () => ({ ours: timed_ms(() => reviewBook(archive, dayOf)), bare: timed_ms(() => scan.all()) }));
  const [ours, bare] = [median(rounds.map((round) => round.ours)), median(rounds.map((round) => round.bare))];
  console.log(`open the book of ${RECORDS}: ${ours.toFixed(0)} ms, × ${(ours / bare).toFixed(2)} of reading the bare rows`);
}

function counts(archive: Archive, book: ReturnType<typeof reviewBook>): void {
  const bare = archive.db.prepare("select word, count(*) from ends group by word").raw();
  for (const by of ["tester", "gauge", "method", "week"] as const) {
    const all = find(book, "", "newest");
    const rounds = Array.from({ length: ROUNDS }, () => ({
      ours: timed_ms(() => summarise(book, all, by)),
      bare: timed_ms(() => bare.all()),
    }));
    const [ours, least] = [median(rounds.map((round) => round.ours)), median(rounds.map((round) => round.bare))];
    judged(
      `count by ${by}: ${ours.toFixed(2)} ms, × ${(ours / least).toFixed(2)} of a bare scan of the covering index (goal ${COUNT_GOAL})`,
      ours <= COUNT_GOAL * least,
    );
  }
}

function curves(archive: Archive): void {
  const bare = archive.db.prepare<[number], Uint8Array>("select bytes from review_curves where record = ?").pluck();
  const size = archive.db.prepare<[], number>("select avg(length(bytes)) from review_curves").pluck().get() ?? 0;
  for (let i = 1; i <= CURVES; i++) keptCurve(archive, i);
  const rounds = Array.from({ length: 3 * CURVES }, (_, i) => ({
    ours: timed_ms(() => keptCurve(archive, (i % CURVES) + 1)),
    bare: timed_ms(() => inflateRawSync(bare.get((i % CURVES) + 1) ?? new Uint8Array())),
  }));
  const [ours, least] = [median(rounds.map((round) => round.ours)), median(rounds.map((round) => round.bare))];
  judged(
    `curve of ${READINGS} readings, ${(size / READINGS).toFixed(2)} bytes each, ready: ${ours.toFixed(2)} ms, × ${(ours / least).toFixed(2)} of a bare read and inflate (goal ${CURVE_GOAL})`,
    ours <= CURVE_GOAL * least,
  );
}

const folder = mkdtempSync(join(tmpdir(), "staunch-review-"));
try {
  const archive = openArchive(join(folder, "many.staunch"), { mode: "write" });
  fill(archive);
  for (let i = 1; i <= CURVES; i++) keepCurve(archive, i, sampleVerdict(sampleStart()), { curve: curveOf(i), second: null });
  loads(archive);
  const book = reviewBook(archive, dayOf);
  for (const query of QUERIES) {
    find(book, query, "newest");
    const times = Array.from({ length: ROUNDS }, () =>
      timed_ms(() => Array.from(find(book, query, "newest").subarray(0, 40), (row) => book.row(row))),
    );
    const ms = median(times);
    judged(`find ${JSON.stringify(query)} of ${RECORDS}: ${ms.toFixed(2)} ms (goal ${LIST_GOAL_MS})`, ms <= LIST_GOAL_MS);
  }
  counts(archive, book);
  curves(archive);
  archive.close();
} finally {
  rmSync(folder, { recursive: true, force: true });
}
process.exitCode = good ? 0 : 1;
