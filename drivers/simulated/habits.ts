import { begin } from "./crew.ts";
import { between } from "./dice.ts";
import type { Live } from "./state.ts";

/** Crews that do not listen. `hasty` pumps, waits less than it should, trims roughly and once, vents when the hold must be over; `absent` pumps and goes away. */
export function ownHead(s: Live, time_s: number): void {
  if (s.task !== "none" || time_s < s.habitDue_s) return;
  const { crew, about } = s.plan.settings;
  if (crew === "absent" && s.habit > 0) return;
  s.habit += 1;
  if (s.habit === 1) begin(s, "pump", about.charge_Pa, 0.02, time_s);
  else if (s.habit === 2) s.habitDue_s = time_s + between(s, "crewDice", 15, 40);
  else if (s.habit === 3) {
    const over = s.plan.sign * (s.shown_Pa - about.test_Pa);
    begin(s, over > 0 ? "bleed" : "pump", about.test_Pa, 0.03, time_s);
  } else if (s.habit === 4) s.habitDue_s = time_s + about.hold_s + between(s, "crewDice", 5, 15);
  else if (s.habit === 5) s.ventAt_s = time_s;
}
