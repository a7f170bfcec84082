import { askedHold_s } from "./asked.ts";
import { finish, inMinutes, inUnit } from "./finish.ts";
import type { Method } from "./method.ts";

const NAME = { id: "onorm2503", title: "ÖNORM B 2503, air, 200 mbar", source: "ÖNORM B 2503, as quoted on a contractor's page" };
const WHY = "no table of times of ÖNORM B 2503 was readable";

const onorm2503: Method = {
  ...NAME,
  summary: "200 mbar, at most 15 mbar lost; the time must be told",
  limits: (pipe) => {
    const hold_s = askedHold_s(NAME.id, pipe, WHY);
    return finish(
      {
        method: NAME,
        charge_Pa: 22_000,
        settle_s: 300,
        test_Pa: 20_000,
        hold_s,
        permittedDrop_Pa: 1500,
        // As EN 1610 (from memory).
        boundary: "less",
        sizes: "no-matter",
        unit: "mbar",
        provenance: `200 mbar and 15 mbar: read on a contractor's page. Hold: as told, because ${WHY}. Charge and settling: as for EN 1610, from memory.`,
        working: [
          `Test pressure ${inUnit(20_000, "mbar")}, permitted drop ${inUnit(1500, "mbar")}`,
          `Hold: ${inMinutes(hold_s)} as told`,
          "Charge: about 10 % above the test pressure; settle 5 min (as for EN 1610, from memory)",
        ],
      },
      pipe,
    );
  },
};

export const ONORM: readonly Method[] = [onorm2503];
