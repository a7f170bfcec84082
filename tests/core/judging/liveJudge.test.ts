import { describe, expect, it } from "vitest";
import { foldJournal } from "../../../src/commands/foldJournal.ts";
import type { Turn } from "../../../src/core/judging/view.ts";
import { limitsFor } from "../../../src/core/methods/index.ts";
import { closedLoop } from "../../support/closedLoop.ts";

const LA = limitsFor("en1610-la", { dn_mm: 100, material: "pvc", laid_length_m: 30 });

describe("a whole test with an obedient crew (design rules 1 to 5)", () => {
  it.each([
    [0, "pass"],
    [0.5, "pass"],
    [1.5, "fail"],
  ] as const)("of a pipe leaking %f times the limit", async (leak, word) => {
    const { start, journal, updates, last } = await closedLoop({ sim: `leak=${leak}&seed=4`, limits: LA });
    const { verdict, phases } = last.judge;
    if (verdict === null || verdict.hold.from_s === null || verdict.hold.to_s === null) throw new Error("no hold was made");
    expect(verdict.verdict).toBe(word);
    // Charged in one go though a hand pump pauses; the method's time served; started inside the band, not at the charge pressure.
    expect(verdict.phases.filter(({ phase }) => phase === "charge")).toHaveLength(1);
    expect(verdict.hold.from_s - (phases.stage.settled.charged_s ?? 0)).toBeGreaterThanOrEqual(LA.settle_s);
    expect(Math.abs((verdict.hold.start_Pa ?? 0) - LA.test_Pa)).toBeLessThanOrEqual(LA.startTolerance_Pa);
    if (word === "pass") expect(verdict.hold.to_s - verdict.hold.from_s).toBeCloseTo(LA.hold_s, 6);
    // The last thing asked before the clock started was answered at the valve.
    const turns: Turn[] = updates.flatMap((update) => update.turns);
    expect(turns.filter(({ code }) => ["charge", "settle", "trim", "hold", "vent"].includes(code)).map(({ code }) => code)).toEqual([
      "charge",
      "settle",
      "trim",
      "hold",
      "vent",
    ]);
    // A replay is the same fold over the same journal.
    expect(foldJournal(start, journal)).toEqual(verdict);
  });

  it("broken off in the hold is void, and says so", async () => {
    const { start, journal } = await closedLoop({ sim: "leak=0.5&seed=4", limits: LA, keep: false });
    const broken = foldJournal(start, journal.slice(0, Math.floor(journal.length * 0.7)));
    expect(broken.verdict).toBe("void");
    expect(broken.reasons.map(({ code }) => code)).toContain("interrupted");
  });

  it("with a blocked hose is never a pass", async () => {
    const { last } = await closedLoop({ sim: "hose=blocked&seed=4", limits: LA, keep: false });
    expect(last.judge.verdict?.verdict).not.toBe("pass");
  });
});
