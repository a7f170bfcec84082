import { usageError } from "../errors.ts";
import { finish, inMinutes, inUnit } from "./finish.ts";
import type { Method, Pipe } from "./method.ts";
import { isPlastic } from "./sizes.ts";
import { mm_Pa, psi_Pa } from "./words.ts";

const NAME = {
  id: "ipc-dwv-air",
  title: "IPC 312.3, drainage and vent air test, 5 psi, 15 min",
  source: "International Plumbing Code, 312.3 (summary page)",
};

/** IPC 312.1 bans air on plastic pipe (read in teaching notes), because a fitting that bursts under air throws splinters. */
function refusePlastic(pipe: Pipe): void {
  if (pipe.material === null)
    throw usageError(
      "material-missing",
      `${NAME.id} needs the material: the code bans air on plastic pipe (312.1).`,
      "Add it, such as --material cast-iron.",
    );
  if (isPlastic(pipe.material) || pipe.material === "grp")
    throw usageError(
      "air-on-plastic",
      `The code bans the air test on plastic pipe (312.1), and this is ${pipe.material}.`,
      "Test it with water, as the code says.",
    );
}

const ipc: Method = {
  ...NAME,
  summary: "5 psi, no visible loss in 15 min; not on plastic pipe",
  limits: (pipe) => {
    refusePlastic(pipe);
    const drop_Pa = pipe.permittedDrop_Pa ?? mm_Pa(1);
    return finish(
      {
        method: NAME,
        charge_Pa: psi_Pa(5.5),
        settle_s: 120,
        test_Pa: psi_Pa(5),
        hold_s: 900,
        permittedDrop_Pa: drop_Pa,
        permittedDropOpen: true,
        boundary: "less-or-equal",
        sizes: "no-matter",
        unit: "psi",
        provenance:
          "5 psi, 15 min, no drop: read on a summary page. Gauge of 0.1 psi steps and the ban on plastic: read in teaching notes. Charge and settling: common practice, no source.",
        working: [
          `Test pressure ${inUnit(psi_Pa(5), "psi")}, held ${inMinutes(900)} without more air`,
          pipe.permittedDrop_Pa === undefined
            ? "No drop: reckoned as 1 mmH2O (10 Pa), settable with --permitted-drop"
            : `Permitted drop ${inUnit(drop_Pa, "psi")}, as told`,
          "Charge: a tenth above; settle 2 min (common practice, no source)",
        ],
        cautions: [
          "At 5 psi a fortieth of a degree changes the pressure by 10 Pa; the code's own gauge shows 0.1 psi (690 Pa): settle with the inspector what counts as a drop.",
          "Some cities go further (New York 5 psi for 15 min; Chicago 10 inHg on a mercury column, no spring gauges): local rules come first.",
        ],
      },
      pipe,
    );
  },
};

export const IPC: readonly Method[] = [ipc];
