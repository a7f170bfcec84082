import { describe, expect, it } from "vitest";
import { foldJournal } from "../../../../src/commands/foldJournal.ts";
import type { Verdict } from "../../../../src/core/record.ts";
import { WaterCrew, type WaterWish } from "../../../support/waterCrew.ts";

const codesOf = ({ reasons }: Verdict): string[] => reasons.map(({ code }) => code);
const held = (wish?: WaterWish): WaterCrew => new WaterCrew(wish).untilHold();

describe("the way of a water test", () => {
  it("fills, conditions an hour, brings to the head, holds 30 min, lets out", () => {
    const crew = held().wait(1800).type("added 0");
    expect(crew.codes.filter((code) => ["charge", "settle", "trim", "hold", "vent"].includes(code))).toEqual([
      "charge",
      "settle",
      "trim",
      "hold",
      "vent",
    ]);
    const verdict = crew.end();
    const settle = verdict.phases.find(({ phase }) => phase === "settle");
    const { from_s, to_s, required_s } = verdict.hold;
    expect((settle?.to_s ?? 0) - (settle?.from_s ?? 0)).toBeGreaterThanOrEqual(3500);
    expect((from_s ?? 0) - (settle?.from_s ?? 0)).toBeGreaterThanOrEqual(3600 - 60);
    expect((to_s ?? 0) - (from_s ?? 0)).toBeGreaterThanOrEqual(required_s);
    expect(verdict).toMatchObject({
      verdict: "pass",
      settled_at_s: expect.any(Number),
      leak: { rate_L_min: null },
      hold: { drop_Pa: null },
    });
  });

  it("asks in plain sentences with figures", () => {
    const crew = new WaterCrew();
    expect(crew.judge.phases.stage.ask.say).toMatch(/^Fill slowly from the low end.*30\.\d kPa at the top of the pipe\.$/);
    crew.untilHold();
    expect(crew.judge.phases.stage.ask.say).toMatch(/within 100 mm of the mark/);
    crew.wait(60, 700);
    expect(crew.judge.phases.stage.ask.say).toMatch(/^Top up to the mark, 30\.\d kPa/);
  });

  it("does not start outside the window", () => {
    const crew = new WaterCrew({ plan: { head_Pa: null } }).to(8000, 300).wait(600);
    expect(crew.phase).toBe("charge");
    crew.to(60_000, 200).wait(100);
    expect(crew.phase).toBe("charge");
    expect(crew.codes).toContain("over-pressure");
    expect(codesOf(crew.end("user"))).toEqual(["not-charged", "interrupted"]);
  });
});

describe("litres typed (7.07 L permitted: 0.15 L/m² on π·0.3·50 m²)", () => {
  it.each([
    [["added 3.5", "added 3.5"], "pass", 7.0],
    [["added 3.5", "added 3.6"], "fail", 7.1],
    [["added 8", "taken 1.5"], "pass", 6.5],
  ] as const)("%j: %s", (entries, word, sum) => {
    const crew = held();
    for (const entry of entries) crew.wait(600).type(entry);
    const verdict = crew.wait(700).type("added 0").end();
    expect(verdict.verdict).toBe(word);
    expect(verdict.water?.added_L).toBeCloseTo(sum, 9);
    expect(verdict.water?.permitted_L).toBeCloseTo(7.069, 3);
    expect(codesOf(verdict)).toEqual(word === "fail" ? ["drop-over-limit"] : []);
  });

  it("counts neither what was put in before nor after the half hour", () => {
    const crew = new WaterCrew();
    crew.to(30_000, 600).wait(1000).type("added 40").wait(2500);
    for (let i = 0; i < 600 && crew.phase !== "hold"; i++) crew.wait(1);
    const verdict = crew.wait(600).type("added 2").wait(1210).type("added 1").end();
    expect(verdict.water).toMatchObject({ added_L: 3, top_ups: 2, volume: "entered" });
  });

  it("gives each measure the uncertainty of its 0.1 L (rectangle: 0.1/√12 = 0.0289 L)", () => {
    const crew = held();
    for (let i = 0; i < 3; i++) crew.wait(500).type("added 1");
    const verdict = crew.wait(310).type("added 0").end();
    expect(verdict.water?.u_added_L).toBeCloseTo(0.0289 * Math.sqrt(4), 3);
  });

  it("leaves out what is no figure", () => {
    const crew = held().type("added -3").type("added NaN").type("added 99999");
    expect(crew.codes.filter((code) => code === "entry-refused")).toHaveLength(3);
    expect(crew.wait(1805).type("added 0").end().water?.added_L).toBe(0);
  });

  it("sees water come in that nobody entered", () => {
    const crew = held().wait(600, 60).to(30_000, 20).wait(1190).type("added 0");
    expect(codesOf(crew.end())).toEqual(["topped-up"]);
    const told = held().wait(600, 60).to(30_000, 20).type("added 0.4").wait(1190).type("added 0");
    expect(told.end().verdict).toBe("pass");
  });

  it("does not pass a level that was not brought back, and does not lose a fail by it", () => {
    const low = held().wait(1900, 20);
    expect(codesOf(low.end())).toEqual(["level-out-of-band"]);
    const failing = held().wait(600, 20).type("added 9").wait(1300, 20);
    expect(failing.end().verdict).toBe("fail");
  });
});

describe("litres read from the head in a standpipe", () => {
  // A bore of 100 mm holds π/4·0.1² m²·0.1 m = 0.785 L in 100 mm; 980.665 Pa are 100 mm of water.
  const standpipe = { plan: { standpipe_mm: 100 } };

  it("is area times the fall", () => {
    const verdict = held(standpipe)
      .wait(1810, 980.665 / 30)
      .end();
    expect(verdict.verdict).toBe("pass");
    expect(verdict.water).toMatchObject({ volume: "from-head", top_ups: 0 });
    expect(verdict.water?.added_L).toBeCloseTo(0.785, 1);
    expect(Math.abs((verdict.water?.added_L ?? 0) - 0.785)).toBeLessThan(2.33 * (verdict.water?.u_added_L ?? 0));
  });

  it("adds the rises of every top-up", () => {
    // Ten times 500 Pa lost in 170 s and refilled in 10 s, leaking on meanwhile: 10·500·(180/170)/9806.65 m·7.854e-3 m² = 4.240 L.
    const crew = held(standpipe);
    for (let i = 0; i < 10; i++) crew.wait(170, (60 * 500) / 170).to(30_000, 10);
    const verdict = crew.wait(20).end();
    expect(verdict.water?.top_ups).toBe(10);
    expect(Math.abs((verdict.water?.added_L ?? 0) - 4.24)).toBeLessThan(0.06);
    expect(verdict.verdict).toBe("pass");
  });

  it("fails what takes more than is permitted", () => {
    const crew = held(standpipe);
    for (let i = 0; i < 18; i++) crew.wait(90, (60 * 600) / 90).to(30_000, 10);
    const verdict = crew.wait(20).end();
    expect(verdict.water?.added_L).toBeGreaterThan(8);
    expect(codesOf(verdict)).toEqual(["drop-over-limit"]);
  });

  it("does not take the water of an opened pipe for a loss of the pipe's", () => {
    const verdict = held(standpipe).wait(900).to(0, 20).wait(900).end();
    expect(verdict.verdict).toBe("void");
    expect(codesOf(verdict)).toContain("sudden-loss");
  });
});

describe("without any gauge", () => {
  it("goes by typed heads and the mark", () => {
    const crew = new WaterCrew({ keyed: true });
    expect(crew.judge.view(0).water?.expects).toBe("head");
    crew.untilHold();
    expect(crew.judge.view(0).water?.expects).toBe("litres");
    const verdict = crew.wait(900).type("added 2.5").wait(905).type("added 0.4").end();
    expect(verdict).toMatchObject({ verdict: "pass", readings: 0, water: { added_L: 2.9, test_head_Pa: 30_000 } });
  });

  it("is void when nobody says that the level is back at its mark", () => {
    expect(codesOf(new WaterCrew({ keyed: true }).untilHold().wait(2000).end())).toEqual(["gauge-silent"]);
  });

  it("does not start at a head outside its band", () => {
    const crew = new WaterCrew({ keyed: true }).wait(60).type("head 30000").wait(3601).type("head 27000");
    expect(crew.phase).toBe("trim");
    expect(crew.type("head 29500").phase).toBe("hold");
  });
});

describe("what proves nothing", () => {
  it("a hold cut short", () => {
    expect(codesOf(held().wait(1700).end("user"))).toEqual(["interrupted", "hold-too-short"]);
    // 29 min are within ± 1 min, but the level must be back at its mark: here it never left it.
    expect(held().wait(1745).end("user").verdict).toBe("pass");
  });

  it("but a cut hold whose litres are over the limit is a fail", () => {
    expect(held().wait(600).type("added 9").wait(10).end("user").verdict).toBe("fail");
  });

  it("a level gone below its band, which can only hide a loss", () => {
    const crew = held().wait(300, 300).to(30_000, 20).type("added 2").wait(1490).type("added 0");
    expect(codesOf(crew.end())).toEqual(["level-out-of-band"]);
    const failing = held().wait(300, 300).to(30_000, 20).type("added 20").wait(1490).type("added 0");
    expect(failing.end().verdict).toBe("fail");
  });

  it("a gauge silent for more than a tenth of it", () => {
    expect(codesOf(held().wait(300).silent(400).wait(1110).type("added 0").end())).toEqual(["gauge-silent"]);
    expect(held().wait(300).silent(100).wait(1410).type("added 0").end().verdict).toBe("pass");
  });
});

describe("the guarded rule (JCGM 106) and what is near the limit", () => {
  it.each([
    ["added 7.03", "inconclusive"],
    ["added 6.9", "pass"],
    ["added 7.3", "fail"],
  ] as const)("%s: %s", (entry, word) => {
    const crew = held({ start: { rule: "guarded" } })
      .wait(900)
      .type(entry)
      .wait(910)
      .type("added 0");
    expect(crew.end().verdict).toBe(word);
  });

  it("remarks a result within the uncertainty, and a measure too coarse for a small section", () => {
    const near = held().wait(900).type("added 7").wait(910).type("added 0").end();
    expect(near.remarks.map(({ code }) => code)).toContain("borderline");
    // 3 m of DN 100: 0.94 m², 0.14 L.
    const small = held({ dn_mm: 100, laid_length_m: 3 }).wait(1810).type("added 0").end();
    expect(small.remarks.map(({ code }) => code)).toContain("gauge-too-coarse");
  });
});

it("a replay of the journal is the same verdict to the last digit", () => {
  const crew = held().wait(700, 50).to(30_000, 30).type("added 1.1").wait(1090).type("added 0.2");
  const verdict = crew.end();
  expect(foldJournal(crew.start, crew.journal)).toEqual(verdict);
});
