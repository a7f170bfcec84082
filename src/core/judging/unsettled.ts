import { type Evidence, SURELY_95 } from "./evidence.ts";
import { type Reason, reason, wordingOf } from "./reasons.ts";
import { ALLOWED_PART, GIVEN_BACK } from "./settling.ts";
import type { Spoiler } from "./spoilers.ts";

/** A fail stands in spite of doubt when it is this far over the limit; the 8 % is measured, metrology of the drop. */
const FAR_OVER = 1.08;

/** Transient still to come when the clock started, at worst: what it may add to the drop and what it may hide, Pa. */
export function transientBounds({ input, drop }: Evidence): {
  adds_Pa: number;
  hides_Pa: number;
} {
  const { coming_Pa, u_coming_Pa } = input.settled;
  if (coming_Pa === null) return { adds_Pa: GIVEN_BACK * (drop.start?.size_Pa ?? 0), hides_Pa: 0 };
  const spread = SURELY_95 * (u_coming_Pa ?? 0);
  return {
    adds_Pa: Math.max(0, coming_Pa + spread),
    hides_Pa: Math.max(0, spread - coming_Pa),
  };
}

/** Shown to be settled, or a gauge that cannot show it and time served instead. */
export const isSettled = ({ input, hold }: Evidence): boolean =>
  input.settled.tooCoarse || (input.settled.settled_s !== null && input.settled.settled_s <= hold.from_s + 1e-6);

/** What keeps a guarded answer open: the air's own return, tolerated at the start, is enough to turn the result. */
export function transientDecides(evidence: Evidence): Reason {
  const { input, drop, raw } = evidence;
  const words = wordingOf(input.limits);
  const { adds_Pa, hides_Pa } = transientBounds(evidence);
  const turns_Pa = raw === "pass" ? hides_Pa : adds_Pa;
  const text = `The air was still finding the pipe's temperature: up to ${words.pressure(turns_Pa)} ${raw === "pass" ? "may be hidden by" : "of the drop may be"} that, enough to turn the result.`;
  return reason("not-settled", text, { turns_Pa, drop_Pa: drop.drop_Pa });
}

/** A start too early, by the air or by the method's own time. */
export function settlingSpoilers(evidence: Evidence): Spoiler[] {
  const { input, hold, drop, u_Pa } = evidence;
  const { limits, settled } = input;
  if (drop.drop_Pa === null) return [];
  const words = wordingOf(limits);
  const { adds_Pa, hides_Pa } = transientBounds(evidence);
  const explained = drop.drop_Pa - adds_Pa - 2 * u_Pa <= FAR_OVER * limits.permittedDrop_Pa;
  const found: Spoiler[] = [];
  if (isSettled(evidence) && evidence.raw === "fail" && input.rule === "simple" && drop.drop_Pa - adds_Pa <= limits.permittedDrop_Pa) {
    const text = `Up to ${words.pressure(adds_Pa)} of the drop may be the air still cooling, which is more than the drop is over the limit.`;
    found.push({ reason: reason("not-settled", text, { adds_Pa, drop_Pa: drop.drop_Pa }), pass: false, fail: true });
  }
  if (!isSettled(evidence)) {
    const coming = settled.coming_Pa;
    const what =
      coming === null
        ? "how much was still to come cannot be told"
        : `${words.change(-coming)} was still to come from the air finding the pipe's temperature, ${words.pressure(ALLOWED_PART * limits.permittedDrop_Pa)} is allowed`;
    found.push({
      reason: reason("not-settled", `The pressure had not settled when the hold began: ${what}.`, {
        coming_Pa: coming,
        u_coming_Pa: settled.u_coming_Pa,
        allowed_Pa: ALLOWED_PART * limits.permittedDrop_Pa,
      }),
      pass: hides_Pa > 0 && drop.drop_Pa + hides_Pa > limits.permittedDrop_Pa,
      fail: explained,
    });
  }
  const served_s = settled.served_s ?? (settled.charged_s === null ? 0 : hold.from_s - settled.charged_s);
  if (served_s < limits.settle_s - 1) {
    const text = `Settling lasted ${words.duration(served_s)} of the required ${words.duration(limits.settle_s)}.`;
    found.push({
      reason: reason("settle-too-short", text, {
        served_s,
        required_s: limits.settle_s,
      }),
      pass: true,
      fail: explained,
    });
  }
  return found;
}
