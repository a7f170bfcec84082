import type { Told } from "../../src/core/methods/method.ts";

/** What the methods that leave a figure to the specification must be told; any figures that make sense. */
const TOLD: Readonly<Record<string, Told>> = {
  "en1610-joint": { test_Pa: 10_000 },
  "dwa149-over": { hold_s: 300 },
  "dwa149-under": { hold_s: 300 },
  "dwa149-joint": { hold_s: 60 },
  onorm2503: { hold_s: 120 },
  "astm-c1244": { hold_s: 60 },
  "asnzs2566-air": { hold_s: 120 },
  "asnzs3500-air": { permittedDrop_Pa: 1000 },
};

export const toldFor = (id: string): Told => TOLD[id] ?? {};
export const ASKING = Object.keys(TOLD);
