import { finish, inMinutes, inUnit } from "./finish.ts";
import type { Method, Pipe } from "./method.ts";
import { mm_Pa } from "./words.ts";

/** Water-gauge tests of Britain; DN plays no part in the time. */

export const WATER_RULE =
  "A failed air test is not by itself ground for rejection: a water test may follow, and its result decides (trade reference, read).";

const trade = {
  id: "uk-100mm",
  title: "United Kingdom, 100 mm water gauge, 5 min",
  source: "UK trade practice for drains and sewers (BS 8301 era; a concrete-pipe maker's advice sheet)",
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
        sizes: "no-matter",
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

const traps = {
  id: "uk-50mm-traps",
  title: "United Kingdom, 50 mm water gauge, traps left in",
  source: "UK trade practice, gullies or trapped appliances connected (BS 8301 era)",
};

const uk50: Method = {
  ...traps,
  summary: "50 mm water gauge with traps in, at most 12 mm lost in 5 min",
  limits: (pipe: Pipe) =>
    finish(
      {
        method: traps,
        // No tenth on top: the water seals would not bear it.
        charge_Pa: mm_Pa(50),
        settle_s: 300,
        test_Pa: mm_Pa(50),
        hold_s: 300,
        permittedDrop_Pa: mm_Pa(12),
        boundary: "less-or-equal",
        sizes: "no-matter",
        unit: "mmH2O",
        provenance: "All figures from memory; the 12 mm are the least certain. Settling: common practice, no source.",
        working: [
          `Test pressure ${inUnit(mm_Pa(50), "mmH2O")}, at most ${inUnit(mm_Pa(12), "mmH2O")} lost in ${inMinutes(300)}, whatever the DN`,
          "Charge: to the test pressure and topped up to it, because more would blow the traps",
          "Settle: 5 min (common practice, no source)",
        ],
        cautions: ["Fill every trap and gully before, and look at each seal after: a trap that blew reads like a leak.", WATER_RULE],
      },
      pipe,
    ),
};

const highways = {
  id: "uk-shw509",
  title: "Specification for Highway Works 509, 75 mm must remain",
  source: "Specification for Highway Works (United Kingdom), clause 509",
};

const shw509: Method = {
  ...highways,
  summary: "100 mm water gauge, at least 75 mm left after 5 min",
  limits: (pipe: Pipe) =>
    finish(
      {
        method: highways,
        charge_Pa: mm_Pa(110),
        settle_s: 300,
        test_Pa: mm_Pa(100),
        hold_s: 300,
        permittedDrop_Pa: mm_Pa(25),
        floor_Pa: mm_Pa(75),
        boundary: "less-or-equal",
        sizes: "no-matter",
        unit: "mmH2O",
        provenance:
          "100 mm and the 75 mm left after 5 min without further pumping: from memory. Charge and settling: common practice, no source.",
        working: [
          `Test pressure ${inUnit(mm_Pa(100), "mmH2O")}, at least ${inUnit(mm_Pa(75), "mmH2O")} left after ${inMinutes(300)} without further pumping, whatever the DN`,
          "Charge: a tenth above, 110 mmH2O, so that cooling ends near the test pressure (common practice, no source)",
          "Settle: 5 min (common practice, no source)",
        ],
        cautions: ["Traps and gullies left in the section would be blown at 100 mm: they must be out of it or sealed off.", WATER_RULE],
      },
      pipe,
    ),
};

export const UK: readonly Method[] = [uk100, uk50, shw509];
