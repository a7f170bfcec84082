import { thrust_N, toKgf } from "../physics/thrust.ts";
import { figure } from "./words.ts";

const force = (pressure_Pa: number, bore_mm: number): string =>
  `${thrust_N(pressure_Pa, bore_mm).toFixed(0)} N (${toKgf(thrust_N(pressure_Pa, bore_mm)).toFixed(0)} kgf)`;

function plugCaution(charge_Pa: number, top_Pa: number, bore_mm: number | null): string {
  const vacuum = charge_Pa < 0;
  if (bore_mm === null) return `The ${vacuum ? "pull" : "push"} on each plug is pressure times bore area: give the DN to see it in newton.`;
  return `Each plug of DN ${figure(bore_mm)} is ${vacuum ? "drawn inwards" : "pushed out"} with ${force(charge_Pa, bore_mm)} at charge pressure and ${force(top_Pa, bore_mm)} at top pressure; a larger bore behind it means more.`;
}

function coverCaution(charge_Pa: number, top_Pa: number, bore_mm: number | null): string[] {
  if (bore_mm === null) return ["The lift on a chamber's cover is pressure times its area: give the DN to see it in newton."];
  const verb = charge_Pa < 0 ? "sucked down" : "lifted";
  return [
    `A cover or plate over DN ${figure(bore_mm)} is ${verb} with ${force(charge_Pa, bore_mm)} at charge pressure and ${force(top_Pa, bore_mm)} at top pressure: ${charge_Pa < 0 ? "it must be rated for that" : "its own weight does not hold it down, it must be anchored"}.`,
  ];
}

/** What is said before charging, for every method. */
export function safetyCautions(charge_Pa: number, top_Pa: number, bore_mm: number | null, chamber: boolean): string[] {
  const vacuum = charge_Pa < 0;
  return [
    plugCaution(charge_Pa, top_Pa, bore_mm),
    ...(chamber ? coverCaution(charge_Pa, top_Pa, bore_mm) : []),
    vacuum
      ? "A cover or frame can be lifted or drawn in and water driven up behind it: nobody in line with a plug, in the chamber or over its mouth while it is under vacuum."
      : "A plug under pressure can kill: plugs rated for it and braced, nobody in line with a plug or in a chamber.",
    vacuum ? "Only plugs and covers rated for vacuum." : "Relief valve or regulator on any compressor, set at or below the top pressure.",
    "Trench, lifting and confined-space rules are confirmed by a competent person on site, not by this program; local rules come first.",
    "Afterwards open the vent at the plug, leave it open and make sure by eye or ear: a gauge that reads zero is never permission.",
  ];
}
