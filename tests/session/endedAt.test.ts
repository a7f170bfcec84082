import { beforeAll, describe, expect, it } from "vitest";
import { findDriver } from "../../drivers/index.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import type { Verdict } from "../../src/core/record.ts";
import { endedAt } from "../../src/session/endedAt.ts";
import { type ClosedLoop, closedLoop } from "../support/closedLoop.ts";
import { type Filmed, filmed } from "../support/films.ts";

/** EN 1610 LC, DN 150: 100 mbar, 15 mbar in 3 min (EN 1610:2015, table 3). */
const LIMITS = limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 45 });

let loop: ClosedLoop;
let made: Filmed;
beforeAll(async () => {
  loop = await closedLoop({ sim: "leak=0.6&seed=7", limits: LIMITS });
  made = filmed(loop.start, loop.journal);
});

const at = (index: number): Verdict | null =>
  endedAt(made.film, findDriver(loop.start.gauge.protocol).create(loop.start.gauge.driverOptions ?? {}), false, index);
const firstOf = (phase: string): number => made.views.findIndex((view) => view.phase === phase);

describe("a test stopped at a place of its tape", () => {
  it("is the verdict itself at the end", () => {
    expect(at(made.film.length - 1)).toEqual(loop.last.judge.verdict);
  });

  it("never passes before the hold is over", () => {
    const vent = firstOf("vent");
    for (const index of [0, firstOf("settle"), firstOf("hold"), Math.floor((firstOf("hold") + vent) / 2)]) {
      expect(at(index)?.verdict).toBe("void");
    }
    expect(at(firstOf("hold") + 20)?.reasons.map(({ code }) => code)).toContain("hold-too-short");
  });

  it("leaves the film as it was", () => {
    const before = made.film.views.at(firstOf("hold"));
    at(firstOf("vent"));
    expect(made.film.views.at(firstOf("hold"))).toEqual(before);
    expect(made.film.verdict).toEqual(loop.last.judge.verdict);
  });
});
