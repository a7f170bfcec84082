import { readFileSync } from "node:fs";
import fc from "fast-check";
import { median } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { judgeWholeCurve } from "../../../src/core/judging/wholeCurve.ts";
import { ownLimits } from "../../../src/core/methods/own.ts";
import type { Rule, Verdict } from "../../../src/core/record.ts";
import { readMethodJson } from "../../../src/intake/methodJson.ts";
import { readReadingsCsv } from "../../../src/intake/readingsCsv.ts";
import { curveOf, gaugeWith, limitsWith, wholeTest } from "../../support/pressureCurve.ts";

const FOLDER = new URL("../../../fixtures/curves/", import.meta.url);

interface Case {
  file: string;
  method: Record<string, string>;
  dn: number;
  laid_length_m: number;
  gauge: { resolution_Pa: number | null; span_error: number };
  true_drop_Pa: number | null;
  outcome: string;
  accept: string[];
  void_reason: string | null;
  start_window_s: [number | null, number | null];
}

const { cases } = JSON.parse(readFileSync(new URL("cases.json", FOLDER), "utf8")) as { cases: Case[] };

function judgeCase(c: Case, rule: Rule = "guarded"): Verdict {
  const pipe = { dn_mm: c.dn, material: null, laid_length_m: c.laid_length_m };
  return judgeWholeCurve({
    curve: readReadingsCsv(readFileSync(new URL(c.file, FOLDER), "utf8")).curve,
    limits: ownLimits(readMethodJson(JSON.stringify(c.method)), pipe),
    gauge: gaugeWith({ resolution_Pa: c.gauge.resolution_Pa, accuracy_fraction: c.gauge.span_error }),
    rule,
    source: "imported",
    program: "test",
    record: null,
  });
}

const judged = cases.map((c) => ({ c, number: c.file.slice(0, 3), verdict: judgeCase(c) }));

/** A second either way is the sampling interval's. */
function startsInWindow({ c, verdict }: (typeof judged)[number]): boolean {
  const [first, last] = c.start_window_s;
  const from_s = verdict.hold.from_s;
  return from_s !== null && from_s >= (first ?? 0) - 1 && from_s <= (last ?? Number.POSITIVE_INFINITY) + 1;
}

/** Starts outside the window given with the recording, and why they are left there. */
const OTHER_START: Record<string, string> = {
  "118": "the window lies where the readings are 1 to 4 % above the test pressure; the hold judged starts at the test pressure",
  "119": "as 118",
  "138": "in the band only 80 s before the release; the hold judged started too high, which only adds, and passes",
};

describe("81 recordings with known truth, guarded rule", () => {
  it.each(judged.map(({ c, verdict }) => [c.file, verdict.verdict, c.accept] as const))("%s: %s", (_, verdict, accept) => {
    expect(accept).toContain(verdict);
  });

  it("never passes nor fails what must not", () => {
    expect(judged.filter(({ c, verdict: v }) => v.verdict === "pass" && !c.accept.includes("pass"))).toEqual([]);
    expect(judged.filter(({ c, verdict: v }) => v.verdict === "fail" && !c.accept.includes("fail"))).toEqual([]);
  });

  it("gives the reason for every void", () => {
    const other = judged.filter(
      ({ c, verdict: v }) => v.verdict === "void" && c.void_reason !== null && !v.reasons.some((r) => r.code === c.void_reason),
    );
    expect(other.map((j) => j.number)).toEqual([]);
  });

  it("starts the hold where an expert would, but for those named", () => {
    const timed = judged.filter(({ c }) => c.start_window_s[0] !== null);
    expect(timed.filter((j) => !startsInWindow(j)).map((j) => j.number)).toEqual(Object.keys(OTHER_START));
  });

  it("measures the drop within 0.4 % of the limit in the median, within 5 % of it or of the drop at worst where nothing broke the hold", () => {
    const whole = judged.filter(({ c, verdict: v }) => v.verdict !== "void" && c.start_window_s[1] !== null);
    const pairs = whole.map(({ c, verdict: v }) => ({
      found: v.hold.drop_Pa ?? Number.NaN,
      truth: c.true_drop_Pa ?? Number.NaN,
      limit: v.hold.permitted_Pa,
    }));
    expect(pairs.length).toBeGreaterThan(40);
    expect(median(pairs.map(({ found, truth, limit }) => Math.abs(found - truth) / limit))).toBeLessThan(0.004);
    expect(Math.max(...pairs.map(({ found, truth, limit }) => Math.abs(found - truth) / Math.max(limit, truth)))).toBeLessThan(0.05);
  });

  it("leaves a recording's gauge unproven without holding it against it", () => {
    expect(judged.flatMap(({ verdict }) => verdict.reasons).filter((r) => r.code === "gauge-not-proven")).toEqual([]);
  });

  it("agrees with itself when told nothing of the gauge", () => {
    const blind = cases.filter((c) => c.outcome !== "inconclusive").slice(0, 12);
    for (const c of blind) {
      const untold = judgeCase({ ...c, gauge: { resolution_Pa: null, span_error: 0 } });
      expect(c.accept).toContain(untold.verdict);
    }
  });
});

const limits = limitsWith();

function made(
  wishes: { leak: number; openAfter_s: number; topUpTo_Pa?: number; seed?: number; cut_s?: number; tau_s?: number },
  rule: Rule = "guarded",
): Verdict {
  const test = wholeTest({ limits, ...wishes });
  const to_s = wishes.cut_s ?? test.end_s;
  return judgeWholeCurve({
    curve: curveOf(test.pressure_Pa, { to_s, noise_Pa: 0.7, resolution_Pa: 1, seed: wishes.seed ?? 1 }),
    limits,
    gauge: gaugeWith(),
    rule,
    source: "simulated",
    program: "test",
    record: "r",
  });
}

describe("recordings made in closed form", () => {
  it.each([
    [0, "pass"],
    [0.5, "pass"],
    [0.9, "pass"],
    [1.1, "fail"],
    [2, "fail"],
  ])("a leak of %f times the limit: %s", (leak, verdict) => {
    const found = made({ leak, topUpTo_Pa: leak === 0 ? 1060 : 1150 + 30 * leak, openAfter_s: 450 });
    expect(found.verdict).toBe(verdict);
  });

  it("an untold phase is none: idle, charge, settle, trim, settle, hold, idle, vent follow each other without a hole", () => {
    const { phases, hold } = made({ leak: 0.7, topUpTo_Pa: 1170, openAfter_s: 450 });
    expect(phases.map((p) => p.phase)).toEqual(["idle", "charge", "settle", "trim", "settle", "hold", "idle", "vent"]);
    expect(phases.every((p, i) => i === 0 || p.from_s === phases[i - 1]?.to_s)).toBe(true);
    expect(phases.find((p) => p.phase === "hold")).toEqual({ phase: "hold", from_s: hold.from_s, to_s: hold.to_s });
  });

  it("does not know an empty, a flat or a tiny recording for a test", () => {
    for (const to_s of [0, 5, 400]) {
      const verdict = judgeWholeCurve({
        curve: curveOf(() => 0, { to_s }),
        limits,
        gauge: gaugeWith(),
        rule: "simple",
        source: "imported",
        program: "test",
        record: null,
      });
      expect(verdict.verdict).toBe("void");
      expect(verdict.reasons.map((r) => r.code)).toContain("not-charged");
    }
  });

  it("never passes without a full hold after the settling time, whatever the leak and wherever it is cut", () => {
    const wishes = fc.record({
      leak: fc.double({ min: 0, max: 3, noNaN: true }),
      openAfter_s: fc.integer({ min: 5, max: 700 }),
      topUpTo_Pa: fc.integer({ min: 960, max: 1150 }),
      cut_s: fc.integer({ min: 20, max: 1100 }),
      tau_s: fc.integer({ min: 8, max: 80 }),
      seed: fc.integer({ min: 1, max: 1000 }),
    });
    fc.assert(
      fc.property(wishes, fc.constantFrom<Rule>("simple", "guarded"), (wish, rule) => {
        const found = made(wish, rule);
        if (found.verdict !== "pass") return;
        const { from_s, to_s } = found.hold;
        const opened_s = Math.min(350 + wish.openAfter_s, wish.cut_s);
        expect((to_s ?? 0) - (from_s ?? 0)).toBeGreaterThanOrEqual(limits.hold_s - 1.5);
        expect(from_s).toBeGreaterThanOrEqual(30 + limits.settle_s);
        expect(to_s).toBeLessThanOrEqual(opened_s + 1);
        expect(found.hold.drop_Pa).toBeLessThanOrEqual(limits.permittedDrop_Pa);
        expect(wish.leak).toBeLessThan(1.03);
      }),
      { numRuns: 300 },
    );
  });

  it("never fails a pipe that leaks well under the limit", () => {
    const wishes = fc.record({
      leak: fc.double({ min: 0, max: 0.85, noNaN: true }),
      openAfter_s: fc.integer({ min: 5, max: 700 }),
      topUpTo_Pa: fc.integer({ min: 960, max: 1150 }),
      cut_s: fc.integer({ min: 20, max: 1100 }),
      tau_s: fc.integer({ min: 8, max: 60 }),
    });
    fc.assert(
      fc.property(wishes, (wish) => {
        expect(made(wish, "guarded").verdict).not.toBe("fail");
      }),
      { numRuns: 300 },
    );
  });

  it("takes anything that can stand in a file, passes none of it and always says why", () => {
    const reading = fc.record({
      t: fc.oneof(fc.integer({ min: 0, max: 1200 }), fc.double({ min: -1e5, max: 1e5, noNaN: true })),
      p: fc.oneof(fc.constantFrom(0, 1000, 1100, -1000, 1e9, 750), fc.double({ min: -1e6, max: 1e6 })),
      air: fc.double({ min: -50, max: 50 }),
    });
    fc.assert(
      fc.property(fc.array(reading, { maxLength: 400 }), fc.boolean(), (readings, sorted) => {
        if (sorted) readings.sort((a, b) => a.t - b.t);
        const column = (of: (r: (typeof readings)[number]) => number): Float64Array => Float64Array.from(readings, of);
        const found = judgeWholeCurve({
          curve: { time_s: column((r) => r.t), pressure_Pa: column((r) => r.p), air_C: column((r) => r.air), ambient_Pa: null },
          limits,
          gauge: gaugeWith({ resolution_Pa: null }),
          rule: "simple",
          source: "imported",
          program: "test",
          record: null,
        });
        expect(found.verdict).not.toBe("pass");
        expect(found.reasons.length).toBeGreaterThan(0);
        expect(found.readings).toBe(readings.length);
        JSON.parse(JSON.stringify(found), (_, value) => {
          expect(value).not.toBe(Number.NaN);
          return value;
        });
      }),
      { numRuns: 500 },
    );
  });
});
