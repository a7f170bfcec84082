import { describe, expect, it } from "vitest";
import { promptsFor } from "../../../src/core/judging/prompts.ts";
import { limitsFor } from "../../../src/core/methods/index.ts";
import { limitsWith } from "../../support/pressureCurve.ts";

const PIPE = { dn_mm: 150, material: null, laid_length_m: 40 };

describe("sentences for the crew", () => {
  it.each([
    ["en1610-la", "Pump to 11.00 mbar.", 1100],
    ["en1610-lc", "Pump to 110.0 mbar.", 11_000],
    ["uk-100mm", "Pump to 110.0 mmH2O.", 1078.7315],
  ])("of %s speak its unit: %s", (id, sentence, to_Pa) => {
    const charge = promptsFor(limitsFor(id, PIPE)).charge();
    expect(charge.say).toBe(sentence);
    expect(charge.act).toEqual({ act: "pump", to_Pa: expect.closeTo(to_Pa, 6) });
  });

  it("name the figure to top up or bleed to", () => {
    const prompts = promptsFor(limitsFor("en1610-la", PIPE));
    expect(prompts.topUp(1012)).toEqual({ act: { act: "pump", to_Pa: 1012 }, say: "Top up to 10.12 mbar, then shut the valve." });
    expect(prompts.bleed(1006).say).toContain("Bleed to 10.06 mbar");
    expect(prompts.keepPumping(430).say).toBe("Keep on to 11.00 mbar: 4.30 mbar so far.");
  });

  it("of a vacuum test draw air out, let it in, and carry its sign", () => {
    const inHg = 3386.388640341;
    const prompts = promptsFor(
      limitsWith({
        direction: "vacuum",
        charge_Pa: -10 * inHg,
        test_Pa: -10 * inHg,
        permittedDrop_Pa: inHg,
        startTolerance_Pa: 0.2 * inHg,
      }),
    );
    expect(prompts.charge()).toEqual({ act: { act: "pump", to_Pa: expect.closeTo(-10 * inHg, 6) }, say: "Draw air out to -10.00 inHg." });
    expect(prompts.topUp(10 * inHg).say).toContain("Draw down to -10.00 inHg");
    expect(prompts.bleed(10 * inHg)).toMatchObject({ act: { act: "bleed", to_Pa: expect.closeTo(-10 * inHg, 6) } });
    expect(prompts.bleed(10 * inHg).say).toContain("Let air in to -10.00 inHg");
  });

  it("keep hands off while it holds, and open the vent slowly at the end", () => {
    const prompts = promptsFor(limitsWith());
    for (const ask of [prompts.hold(), prompts.handsOff(), prompts.watchFall()]) {
      expect(ask.act).toEqual({ act: "hands-off" });
      expect(ask.say.toLowerCase()).toContain("hands off");
    }
    expect(prompts.vent().act).toEqual({ act: "vent" });
    expect(prompts.vent().say).toMatch(/slowly.*eye or ear/);
  });
});
