import { beforeAll, describe, expect, it } from "vitest";
import { limitsFor } from "../../../src/core/methods/index.ts";
import { type ClosedLoop, closedLoop } from "../../support/closedLoop.ts";
import { type Filmed, filmed } from "../../support/films.ts";
import { sampleStart } from "../../support/records.ts";
import { TubeCrew } from "../../support/tubeCrew.ts";
import { WaterCrew } from "../../support/waterCrew.ts";

/** EN 1610 LC, DN 150: 100 mbar, 15 mbar in 3 min (EN 1610:2015, table 3). */
const LIMITS = limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 45 });

const WISHES = [
  "leak=0.6&seed=7",
  "leak=0.5&seed=7&silence=520:8&spikes=540:3",
  "leak=0.5&seed=7&topup=560:300",
  "leak=2&seed=3&protocol=scpi&rate=10",
  "leak=0.7&seed=5&unit=550:1&protocol=xdr&sensors=air,ambient",
];

describe.each(WISHES)("a simulated test, %s", (sim) => {
  let loop: ClosedLoop;
  let made: Filmed;
  beforeAll(async () => {
    loop = await closedLoop({ sim, limits: LIMITS });
    made = filmed(loop.start, loop.journal);
  });

  it("has every view the crew saw, in any order", () => {
    const { film, views } = made;
    expect(film.length).toBe(loop.journal.length);
    // Backwards, then every seventh forwards: no view leans on the one asked for before.
    for (let i = film.length - 1; i >= 0; i--) expect(film.views.at(i)).toEqual(views[i]);
    for (let i = 0; i < film.length; i += 7) expect(film.views.at(i)).toEqual(views[i]);
    expect(film.verdict).toEqual(loop.last.judge.verdict);
  });

  it("has the journal, the readings and the turns as they came", () => {
    const { film } = made;
    expect(loop.journal.map((_, i) => film.tape.event(i))).toEqual(loop.journal);
    const readings = loop.updates.flatMap((update) => update.readings);
    expect(film.readings.length).toBe(readings.length);
    expect(readings.map((_, i) => film.readings.at(i).pressure_Pa)).toEqual(readings.map(({ pressure_Pa }) => pressure_Pa));
    expect(readings.map((_, i) => film.readings.at(i).unit)).toEqual(readings.map(({ unit }) => unit));
    expect(film.turnsUntil(film.length - 1, 10_000)).toEqual(loop.updates.flatMap((update) => update.turns));
    const half = Math.floor(film.length / 2);
    expect(film.turnsUntil(half, 3)).toEqual(
      loop.updates
        .slice(0, half + 1)
        .flatMap((update) => update.turns)
        .slice(-3),
    );
  });

  it("keeps what changes slowly by the second, not by the reading", () => {
    const { film } = made;
    const seconds = (film.to_ms - film.from_ms) / 1000;
    expect(film.views.kept).toBeLessThan(seconds + 3 * film.marks.length);
  });

  it("marks every turn of phase, and every jump lands on the nearest mark or reading", () => {
    const { film } = made;
    const phases = film.marks.flatMap(({ phase }) => (phase === null ? [] : [phase]));
    const run = film.verdict?.phases.map(({ phase }) => phase) ?? [];
    expect([...new Set(phases)]).toEqual([...new Set(run)]);
    expect(film.marks.at(-1)?.kind).toBe("end");
    const places = [...new Set(film.marks.map(({ index }) => index))];
    const read = loop.updates.flatMap(({ readings }, i) => (readings.length > 0 ? [i] : []));
    for (let i = 0; i < film.length; i += 13) {
      expect(film.markFrom(i, 1)).toBe(places.find((place) => place > i) ?? null);
      expect(film.markFrom(i, -1)).toBe(places.findLast((place) => place < i) ?? null);
      expect(film.readingFrom(i, 1)).toBe(read.find((place) => place > i) ?? null);
      expect(film.readingFrom(i, -1)).toBe(read.findLast((place) => place < i) ?? null);
    }
  });
});

it("a lost line, a key and a zero are places to jump to", () => {
  const start = sampleStart({ gauge: { ...sampleStart().gauge, protocol: "line", driverOptions: { unit: "Pa" } } });
  const bodies = [
    { kind: "link-up", detail: "/dev/ttyUSB0" },
    { kind: "zero", zero_Pa: 3 },
    { kind: "bytes-in", bytes: new TextEncoder().encode("12\n") },
    { kind: "link-down", reason: "The cable was pulled." },
    { kind: "key", action: "stop" },
    { kind: "end", cause: "user", detail: "stopped by the user" },
  ] as const;
  const { film } = filmed(
    start,
    bodies.map((body, seq) => ({ ...body, seq, at_ms: seq * 100, wall_ms: seq * 100 })),
  );
  const kinds = film.marks.map(({ index, kind }) => `${index} ${kind}`);
  for (const wanted of ["0 link-up", "1 zero", "3 link-down", "4 key", "5 end"]) expect(kinds).toContain(wanted);
  expect(kinds).not.toContain("2 note");
});

it("spikes left in are another verdict, and nothing else of the tape is", async () => {
  const loop = await closedLoop({ sim: "leak=0.5&seed=7&spikes=560:20", limits: LIMITS });
  const as = filmed(loop.start, loop.journal).film;
  const other = filmed(loop.start, loop.journal, true).film;
  expect(as.verdict).toEqual(loop.last.judge.verdict);
  expect(as.verdict?.remarks.map(({ code }) => code)).toContain("spikes");
  expect(other.verdict?.remarks.map(({ code }) => code)).not.toContain("spikes");
  expect(other.verdict?.hold.u_drop_Pa).not.toBe(as.verdict?.hold.u_drop_Pa);
  expect(other.length).toBe(as.length);
});

describe("tests that are not air with a gauge", () => {
  it.each([
    ["water, litres typed", () => new WaterCrew().untilHold().wait(600, 100).type("added 0.5").to(30_000, 60).wait(1200, 50)],
    ["water, heads typed", () => new WaterCrew({ keyed: true }).untilHold().wait(600).type("added 1").wait(1300)],
    ["air read by eye", () => new TubeCrew().untilHold().readings("96", "92").called().wait(3)],
  ])("%s: every view as it was, top-ups marked", (name, played) => {
    const crew = played();
    const { film, views } = filmed(crew.start, crew.journal);
    for (let i = film.length - 1; i >= 0; i--) expect(film.views.at(i)).toEqual(views[i]);
    expect(film.marks.some(({ kind }) => kind === "phase")).toBe(true);
    expect(film.marks.some(({ kind }) => kind === "top-up")).toBe(name.startsWith("water"));
  });
});
