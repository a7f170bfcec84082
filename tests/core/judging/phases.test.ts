import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Phase } from "../../../src/core/record.ts";
import { FedJudge } from "../../support/fedJudge.ts";
import { limitsWith } from "../../support/pressureCurve.ts";

/** A short method, so that thousands of seconds are not needed: 1000 Pa, 100 Pa in 60 s, after 30 s of settling. */
const SHORT = limitsWith({ settle_s: 30, hold_s: 60, permittedDrop_Pa: 100 });

type Way = (fed: FedJudge) => FedJudge;

/** A tight pipe with no heat in it, brought to each phase. */
const IDLE: Way = (fed) => fed.rest(8);
const CHARGE: Way = (fed) => IDLE(fed).to(500, 10).rest(2);
const SETTLE: Way = (fed) => CHARGE(fed).to(1100, 10).rest(8);
const TRIM: Way = (fed) => SETTLE(fed).rest(400, () => fed.phase === "trim");
const HOLD: Way = (fed) =>
  TRIM(fed)
    .rest(60, () => fed.judge.phases.asked() !== 0)
    .to(1000, 3)
    .rest(400, () => fed.phase === "hold");
const VENT: Way = (fed) => HOLD(fed).rest(80, () => fed.phase === "vent");

describe("phases", () => {
  it.each<[Phase, string, Way, Way, Phase]>([
    ["idle", "nothing", IDLE, (f) => f.rest(60), "idle"],
    ["idle", "zero drift of a few pascal", IDLE, (f) => f.to(8, 60), "idle"],
    ["idle", "a stroke", IDLE, (f) => f.to(200, 5).rest(3), "charge"],
    ["charge", "a pump's pause of ten seconds", CHARGE, (f) => f.rest(10), "charge"],
    ["charge", "pauses between strokes", CHARGE, (f) => f.to(700, 3).rest(10).to(800, 3).rest(10), "charge"],
    ["charge", "the charge pressure", CHARGE, (f) => f.to(1100, 10).rest(8), "settle"],
    ["charge", "the air let out again", CHARGE, (f) => f.to(0, 3).rest(15), "idle"],
    ["charge", "no new height for four minutes", CHARGE, (f) => f.rest(250), "vent"],
    ["settle", "time short of the method's own", SETTLE, (f) => f.rest(10), "settle"],
    ["settle", "a top-up stroke", SETTLE, (f) => f.to(1120, 2).rest(4), "settle"],
    ["settle", "rest and the method's time", SETTLE, (f) => f.rest(200), "trim"],
    ["settle", "the pipe opened", SETTLE, (f) => f.to(0, 4).rest(5), "idle"],
    ["trim", "nothing: the clock never starts at the charge pressure", TRIM, (f) => f.rest(150), "trim"],
    [
      "trim",
      "a bleed to the test pressure and rest",
      TRIM,
      (f) =>
        f
          .rest(5)
          .to(1000, 3)
          .rest(400, () => f.phase === "hold"),
      "hold",
    ],
    ["trim", "the pipe opened", TRIM, (f) => f.to(0, 4).rest(12), "idle"],
    ["hold", "nothing, before its time", HOLD, (f) => f.rest(40), "hold"],
    ["hold", "its time", HOLD, (f) => f.rest(63), "vent"],
    ["hold", "the whole drop used up for certain", HOLD, (f) => f.to(700, 30), "vent"],
    ["hold", "the charge gone", HOLD, (f) => f.to(0, 4).rest(4), "vent"],
    ["vent", "nothing, for a minute", VENT, (f) => f.rest(60), "vent"],
  ])("%s, then %s", (from, _, way, event, then) => {
    const fed = way(new FedJudge(SHORT));
    expect(fed.phase).toBe(from);
    expect(event(fed).phase).toBe(then);
  });

  it("end when the opening has been seen, and the gauge is proven by it", () => {
    const fed = VENT(new FedJudge(SHORT)).to(0, 12).rest(12);
    expect(fed.judge.finished).toBe(true);
    expect(fed.end().verdict).toBe("pass");
  });

  it("end two minutes after the hold when nobody opens, and the gauge is not proven", () => {
    const fed = VENT(new FedJudge(SHORT)).rest(130);
    expect(fed.judge.finished).toBe(true);
    expect(fed.end().reasons.map(({ code }) => code)).toEqual(["gauge-not-proven"]);
  });
});

describe("never for ever, with nobody there", () => {
  it.each<[Phase, Way, number]>([
    ["idle", IDLE, 3600],
    ["charge", CHARGE, 240],
    ["settle", SETTLE, 1500],
    ["trim", TRIM, 900],
    ["hold", HOLD, 60],
    ["vent", VENT, 120],
  ])("%s ends", (from, way, longest_s) => {
    const fed = way(new FedJudge(SHORT));
    expect(fed.phase).toBe(from);
    fed.rest(longest_s + 140);
    expect(fed.judge.finished).toBe(true);
  });

  it("a charge that drops below the band while settling is asked for, then given up", () => {
    const fed = SETTLE(new FedJudge(limitsWith({ settle_s: 600 }))).feed(60, (t) => 1100 - 3 * t);
    fed.rest(500);
    expect(fed.codes).toContain("nobody");
    expect(fed.end().verdict).toBe("void");
  });
});

describe("silence", () => {
  it("alone ends a hold at its time, and never as passed", () => {
    const fed = HOLD(new FedJudge(SHORT)).silent(300);
    expect(fed.judge.finished).toBe(true);
    const verdict = fed.end();
    expect(verdict.verdict).toBe("void");
    expect(verdict.reasons.map(({ code }) => code)).toContain("gauge-silent");
  });

  it("of less than a tenth of a hold does not spoil it", () => {
    const fed = HOLD(new FedJudge(SHORT)).rest(30).silent(4).rest(40).to(0, 12).rest(12);
    expect(fed.end().verdict).toBe("pass");
  });
});

describe("over-pressure", () => {
  it("alarms once for each excursion above the top pressure", () => {
    const fed = new FedJudge(SHORT).rest(8).to(1300, 20).rest(10);
    expect(fed.judge.alarm).toContain("stop pumping");
    fed.to(1262, 2).to(1300, 2);
    expect(fed.codes.filter((code) => code === "over-pressure")).toHaveLength(1);
    fed.to(1100, 5).rest(3);
    expect(fed.judge.alarm).toBeNull();
    fed.to(1300, 5).rest(3);
    expect(fed.codes.filter((code) => code === "over-pressure")).toHaveLength(2);
  });
});

describe("whatever is done to the pipe", () => {
  const anyPressure = fc.constantFrom(0, 30, 300, 600, 900, 980, 1000, 1010, 1050, 1100, 1150, 1300);
  const anyMove = fc.oneof(
    fc.record({ kind: fc.constant("to" as const), pressure_Pa: anyPressure, seconds: fc.integer({ min: 1, max: 30 }) }),
    fc.record({ kind: fc.constant("rest" as const), seconds: fc.integer({ min: 1, max: 120 }) }),
    fc.record({ kind: fc.constant("silent" as const), seconds: fc.integer({ min: 1, max: 40 }) }),
    fc.record({ kind: fc.constant("as asked" as const), seconds: fc.integer({ min: 2, max: 10 }) }),
  );

  it("no pass without a full hold", () => {
    let holds = 0;
    fc.assert(
      fc.property(fc.boolean(), fc.array(anyMove, { maxLength: 25 }), (nearly, moves) => {
        const fed = new FedJudge(SHORT);
        if (nearly) HOLD(fed);
        for (const move of moves) {
          const { ask } = fed.judge.phases.stage;
          if (move.kind === "to") fed.to(move.pressure_Pa, move.seconds);
          else if (move.kind === "rest") fed.rest(move.seconds);
          else if (move.kind === "silent") fed.silent(move.seconds);
          else if ("to_Pa" in ask.act) fed.to(ask.act.to_Pa, move.seconds).rest(10);
          else if (ask.act.act === "vent") fed.to(0, 10).rest(5);
          else fed.rest(60);
        }
        const { verdict, hold } = fed.end();
        if (hold.from_s !== null) holds++;
        if (verdict !== "pass") return;
        expect((hold.to_s ?? 0) - (hold.from_s ?? 0)).toBeGreaterThanOrEqual(SHORT.hold_s);
        expect(hold.drop_Pa).toBeLessThanOrEqual(SHORT.permittedDrop_Pa);
      }),
      { numRuns: 300 },
    );
    expect(holds).toBeGreaterThan(50);
  });
});
