import { describe, expect, it } from "vitest";
import dwa from "../../../fixtures/reference/dwa-onorm.json" with { type: "json" };
import codes from "../../../fixtures/reference/plumbing-pacific.json" with { type: "json" };
import { limitsFor } from "../../../src/core/methods/index.ts";
import type { Told } from "../../../src/core/methods/method.ts";
import { errorOf } from "../../support/errors.ts";

const pipe = (told: Told = {}, dn_mm: number | null = 300) => ({ dn_mm, material: "clay" as const, laid_length_m: 40, ...told });
const value = (id: string): number[] => [codes.rows.find((one) => one.id === id)?.value ?? []].flat().map(Number);
const MM_Pa = 9.80665;

describe("DWA-A 139 (read)", () => {
  it.each(dwa.dwa139.rows)("$id: $min_per_dn min per mm, up to the next full minute", ({ id, min_per_dn, p_mbar, dp_mbar }) => {
    for (const dn of [100, 150, 200, 250, 300, 400, 600, 800, 1000, 2000]) {
      const limits = limitsFor(id, pipe({}, dn));
      const whole = limits.hold_s / 60;
      expect(Number.isInteger(whole)).toBe(true);
      expect(whole).toBeGreaterThanOrEqual(min_per_dn * dn - 1e-9);
      expect(whole).toBeLessThan(min_per_dn * dn + 1);
      expect(limits).toMatchObject({ test_Pa: p_mbar * 100, permittedDrop_Pa: dp_mbar * 100 });
    }
  });

  // 0.01354 × 300 = 4.06 → 5 where EN 1610 rounds to 4; 0.0065 × 2000 = 13.00 stays.
  it("rounds up where EN 1610 rounds to the nearest, and leaves whole minutes", () => {
    expect(limitsFor("dwa139-lc", pipe()).hold_s).toBe(300);
    expect(limitsFor("en1610-lc", pipe()).hold_s).toBe(240);
    expect(limitsFor("dwa139-ld", pipe({}, 2000)).hold_s).toBe(780);
  });
});

describe("what leaves its time to the specification", () => {
  it.each(dwa.dwa149.rows)("$id: $p_mbar mbar, $dp_mbar mbar", ({ id, p_mbar, dp_mbar }) => {
    const error = errorOf(() => limitsFor(id, pipe()));
    expect(error).toMatchObject({ code: "hold-missing", hint: expect.stringContaining('--hold "5 min"') });
    const limits = limitsFor(id, pipe({ hold_s: 90 }));
    expect(limits).toMatchObject({ test_Pa: p_mbar * 100, permittedDrop_Pa: dp_mbar * 100, hold_s: 90 });
    expect(limits.provenance).toContain("as told, because");
  });

  it.each(dwa.dwa149.rows.filter((row) => row.min_time_s !== undefined))("$id lasts $min_time_s s at least", ({ id, min_time_s }) => {
    expect(errorOf(() => limitsFor(id, pipe({ hold_s: (min_time_s ?? 0) - 1 }))).code).toBe("hold-too-short");
    expect(limitsFor(id, pipe({ hold_s: min_time_s ?? 0 })).hold_s).toBe(min_time_s);
  });

  it("settles a joint 30 s and reckons it as a metre of pipe", () => {
    const joint = dwa.dwa149.rows.find(({ id }) => id === "dwa149-joint");
    expect(limitsFor("dwa149-joint", pipe({ hold_s: 60 }))).toMatchObject({ settle_s: joint?.settle_s, laid_length_m: 1 });
  });

  it("onorm2503: 200 mbar, 15 mbar", () => {
    expect(errorOf(() => limitsFor("onorm2503", pipe())).code).toBe("hold-missing");
    const [p, dp] = dwa.values;
    expect(limitsFor("onorm2503", pipe({ hold_s: 120 }))).toMatchObject({
      test_Pa: Number(p?.value) * 100,
      permittedDrop_Pa: Number(dp?.value) * 100,
    });
  });

  it("asnzs2566-air: 25 kPa, 18 kPa must remain, the drop the 7 kPa of WSA 02 (from memory)", () => {
    expect(errorOf(() => limitsFor("asnzs2566-air", pipe())).message).toContain("not visible");
    const limits = limitsFor("asnzs2566-air", pipe({ hold_s: 240 }));
    expect([limits.test_Pa / 1000, (limits.floor_Pa ?? 0) / 1000]).toEqual([...value("as2566.air.start"), ...value("as2566.air.floor")]);
    const [from = 0, to = 0] = value("wsa02.air");
    expect(limits.permittedDrop_Pa / 1000).toBe(from - to);
  });

  it("asnzs3500-air: the permitted drop must be told", () => {
    expect(errorOf(() => limitsFor("asnzs3500-air", pipe()))).toMatchObject({
      code: "permitted-drop-missing",
      hint: expect.stringContaining("--permitted-drop"),
    });
    const limits = limitsFor("asnzs3500-air", pipe({ permittedDrop_Pa: 500 }));
    expect([limits.test_Pa / 1000, limits.hold_s / 60, limits.permittedDrop_Pa]).toEqual([...value("as3500.air"), 3, 500]);
  });
});

describe("whole as they were read or remembered", () => {
  it("asnzs2032-air; South Australia's 15 min with --hold", () => {
    const limits = limitsFor("asnzs2032-air", pipe());
    expect([limits.test_Pa / 1000, (limits.floor_Pa ?? 0) / 1000]).toEqual(value("as2032.air"));
    expect([limits.settle_s, limits.hold_s]).toEqual([180, 60]);
    expect(value("sawater.air")).toEqual(value("as2032.air"));
    expect(limitsFor("asnzs2032-air", pipe({ hold_s: 900 })).hold_s).toBe(900);
  });

  it("nz-e1vm1-air (from memory)", () => {
    const limits = limitsFor("nz-e1vm1-air", pipe());
    expect([limits.test_Pa / MM_Pa, (limits.floor_Pa ?? 0) / MM_Pa].map(Math.round)).toEqual(value("nz.e1vm1.air.low"));
    expect(limits.hold_s).toBe(300);
    expect(limits.provenance).toContain("from memory");
  });

  it("ipc-dwv-air: 5 psi, no visible loss, what counts as visible being settable", () => {
    const limits = limitsFor("ipc-dwv-air", pipe());
    expect(limits.test_Pa / 6894.757293168361).toBeCloseTo(value("ipc.dwv")[0] ?? 0, 9);
    expect(value("nyc.dwv")).toEqual(value("ipc.dwv"));
    expect([limits.hold_s, limits.permittedDrop_Pa]).toEqual([900, MM_Pa]);
    expect(limitsFor("ipc-dwv-air", pipe({ permittedDrop_Pa: 689 })).permittedDrop_Pa).toBe(689);
  });

  it.each(["pvc", "pe", "pp", "abs", "grp"] as const)("ipc-dwv-air is banned on %s", (material) => {
    const error = errorOf(() => limitsFor("ipc-dwv-air", { ...pipe(), material }));
    expect(error.code).toBe("air-on-plastic");
    expect(error.message).toContain(material);
  });

  it("ipc-dwv-air asks what the pipe is made of", () => {
    expect(errorOf(() => limitsFor("ipc-dwv-air", { ...pipe(), material: null })).code).toBe("material-missing");
  });
});
