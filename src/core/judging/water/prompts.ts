import { displayDecimals, displayUnit } from "../../methods/displayUnit.ts";
import type { Limits } from "../../methods/limits.ts";
import { toUnit } from "../../units.ts";
import type { Ask } from "../view.ts";

/** Every sentence the crew hears in a water test; heads are those at the top of the pipe at its upper end. */
export interface WaterPrompts {
  head(head_Pa: number): string;
  fill(): Ask;
  fillOn(head_Pa: number): Ask;
  lower(to_Pa: number): Ask;
  condition(): Ask;
  keepFull(to_Pa: number): Ask;
  toTestHead(to_Pa: number): Ask;
  hold(): Ask;
  topUp(to_Pa: number): Ask;
  soon(): Ask;
  back(): Ask;
  empty(): Ask;
}

/** `keyed`: no gauge, so the crew types the head; `read`: litres come from the standpipe's level, so nothing is typed. */
export function waterPrompts(limits: Limits, { keyed, read }: { keyed: boolean; read: boolean }): WaterPrompts {
  const unit = displayUnit(limits);
  const decimals = displayDecimals(limits, unit);
  const head = (head_Pa: number): string => `${toUnit(head_Pa, unit).toFixed(decimals)} ${unit}`;
  const type = keyed ? ` Type the head when it stands there, such as ${head(limits.test_Pa)}.` : "";
  const litres = read ? "" : ", and type the litres";
  const wait = { act: "wait" } as const;
  return {
    head,
    fill: () => ({
      act: { act: "pump", to_Pa: limits.test_Pa },
      say: `Fill slowly from the low end, let the air out at the high end, up to ${head(limits.test_Pa)} at the top of the pipe.${type}`,
    }),
    fillOn: (head_Pa) => ({
      act: { act: "pump", to_Pa: limits.test_Pa },
      say: `Fill on to ${head(limits.test_Pa)}: ${head(head_Pa)} so far.${type}`,
    }),
    lower: (to_Pa) => ({ act: { act: "bleed", to_Pa }, say: `Let water out down to ${head(to_Pa)}.${type}` }),
    condition: () => ({ act: wait, say: "Keep it full: the pipe takes up water before it is measured. Topping up is allowed." }),
    keepFull: (to_Pa) => ({
      act: { act: "pump", to_Pa },
      say: `Top up to ${head(to_Pa)}: the pipe must stay full while it takes up water.`,
    }),
    toTestHead: (to_Pa) => ({
      act: { act: "pump", to_Pa },
      say: `Bring the level to ${head(to_Pa)} and mark it; the 30 min start then.${type}`,
    }),
    hold: () => ({
      act: { act: "hands-off" },
      say: `The 30 min run: keep the level within 100 mm of the mark from a measure${litres}.`,
    }),
    topUp: (to_Pa) => ({ act: { act: "pump", to_Pa }, say: `Top up to the mark, ${head(to_Pa)}, from a measure${litres}.` }),
    soon: () => ({
      act: wait,
      say: read
        ? "One minute left: do not touch the water now."
        : "One minute left: get the measure ready to bring the level back to the mark.",
    }),
    back: () => ({ act: wait, say: "Time: bring the level back to the mark and type the litres; 0 when none were needed." }),
    empty: () => ({
      act: { act: "vent" },
      say: "Let the water out slowly, to where it may go; no plug is loosened before you see that the pipe is empty.",
    }),
  };
}
