import { displayUnit } from "./displayUnit.ts";
import { finish, inMinutes, inUnit } from "./finish.ts";
import type { Limits } from "./limits.ts";
import type { OwnMethod, Pipe } from "./method.ts";

/** A method from a file, worked out for a section: its figures are the limits, the rest is as for every method. */
export function ownLimits(own: OwnMethod, pipe: Pipe): Limits {
  const unit = displayUnit(own);
  const { id, title, source, top_Pa, ...figures } = own;
  return finish(
    {
      ...figures,
      method: { id, title, source },
      unit,
      sizes: "no-matter",
      ...(top_Pa === undefined ? {} : { top_Pa }),
      ...(pipe.chamberAir === undefined ? {} : { chamber: true }),
      provenance: "A method file of the user's own: its figures are taken as they stand.",
      working: [
        `Charge ${inUnit(own.charge_Pa, unit)}, settle ${inMinutes(own.settle_s)}, test pressure ${inUnit(own.test_Pa, unit)}`,
        own.floor_Pa === null
          ? `At most ${inUnit(own.permittedDrop_Pa, unit)} lost in ${inMinutes(own.hold_s)}`
          : `At least ${inUnit(own.floor_Pa, unit)} left after ${inMinutes(own.hold_s)}: a permitted drop of ${inUnit(own.permittedDrop_Pa, unit)} from the test pressure`,
      ],
    },
    pipe,
  );
}
