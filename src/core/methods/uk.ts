import { finish, inMinutes, inUnit } from "./finish.ts";
import type { Method, Pipe } from "./method.ts";

/** Water-gauge tests of Britain; DN plays no part in the time. */
const mm_Pa = (height_mm: number): number => (height_mm * 980_665) / 100_000;

const WATER_RULE =
  "A failed air test is not by itself ground for rejection: a water test may follow, and its result decides (trade reference, read).";

const trade = {
  id: "uk-100mm",
  title: "United Kingdom, 100 mm water gauge, 5 min",
  source: "UK trade practice for drains and sewers (BS 8301 era; a concrete-pipe maker's advice sheet)",
};

const approved = {
  id: "adh-110mm",
  title: "Approved Document H, 110 mm then 100 mm water gauge, 7 min",
  source: "Approved Document H (England) 2015, 2.59 to 2.62",
};

const uk100: Method = {
  ...trade,
  summary: "100 mm water gauge, at most 25 mm lost in 5 min",
  limits: (pipe: Pipe) =>
    finish(
      {
        method: trade,
        charge_Pa: mm_Pa(110),
        settle_s: 300,
        test_Pa: mm_Pa(100),
        hold_s: 300,
        permittedDrop_Pa: mm_Pa(25),
        boundary: "less-or-equal",
        unit: "mmH2O",
        provenance:
          "25 mm in 5 min: read in a pipe maker's advice sheet. Start of 100 mm: from memory. Charge and settling: common practice, no source.",
        working: [
          `Test pressure ${inUnit(mm_Pa(100), "mmH2O")}, at most ${inUnit(mm_Pa(25), "mmH2O")} lost in ${inMinutes(300)}, whatever the DN`,
          "Charge: a tenth above, 110 mmH2O, so that cooling ends near the test pressure (common practice, no source)",
          "Settle: 5 min (common practice, no source)",
        ],
        cautions: ["Traps and gullies left in the section would be blown at 100 mm: they must be out of it or sealed off.", WATER_RULE],
      },
      pipe,
    ),
};

const adh110: Method = {
  ...approved,
  summary: "110 mm water gauge for 5 min, then from 100 mm at most 25 mm lost in 7 min",
  limits: (pipe: Pipe) =>
    finish(
      {
        method: approved,
        charge_Pa: mm_Pa(110),
        settle_s: 300,
        test_Pa: mm_Pa(100),
        hold_s: 420,
        permittedDrop_Pa: mm_Pa(25),
        boundary: "less-or-equal",
        unit: "mmH2O",
        provenance:
          "110 mm for 5 min, then 100 mm: read on a contractor's page. 25 mm in 7 min: from memory; EN 1610 LA at DN 300 has the same 7 min.",
        working: [
          "Charge: 110 mmH2O for 5 min is conditioning; the clock does not start there",
          `Test pressure ${inUnit(mm_Pa(100), "mmH2O")}, at most ${inUnit(mm_Pa(25), "mmH2O")} lost in ${inMinutes(420)}, whatever the DN`,
        ],
        cautions: [
          ...(pipe.dn_mm !== null && pipe.dn_mm > 300
            ? ["Approved Document H speaks of drains up to DN 300 (from memory); above it take the sewer specification's method."]
            : []),
          "Traps and gullies left in the section would be blown at 110 mm: they must be out of it or sealed off.",
          WATER_RULE,
        ],
      },
      pipe,
    ),
};

export const UK: readonly Method[] = [uk100, adh110];
