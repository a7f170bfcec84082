import { EXIT, StaunchError } from "../core/errors.ts";
import type { Link } from "../core/link.ts";

/** Nothing usable came from the gauge in all that time; exit 69. */
export const noReading = (link: Pick<Link, "describe">, waited_ms: number): StaunchError =>
  new StaunchError({
    code: "gauge-no-reading",
    message: `No reading came from ${link.describe} in ${Math.round(waited_ms / 1000)} s.`,
    hint: "Check power and cable, the protocol and the line settings (baud, parity) in the gauge's address, then start again. An absolute gauge has to begin in the open air.",
    exit: EXIT.gauge,
  });
