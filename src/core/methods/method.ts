import type { Limits } from "./limits.ts";
import type { Material } from "./materials.ts";
import type { WaterPlan } from "./waterPlan.ts";

/** A length of another size in the same test: a branch, a reducer's far side. */
export interface OtherSize {
  dn_mm: number;
  length_m: number;
}

/** What may be told of a section or its test besides size, material and length; absent where it was not. */
export interface Told {
  /** Inner diameter where it is not the DN (DN/OD pipe), mm: volume and thrust go by it. */
  bore_mm?: number;
  also?: readonly OtherSize[];
  /** Height of the groundwater above the pipe's crown, m. */
  groundwater_m?: number;
  /** Traps or gullies stay in the section, with their water seals. */
  traps?: true;
  /** The section is a chamber tested with air; whether national rules allow that. */
  chamberAir?: "allowed" | "forbidden";
  /** Figures the specification states where a method leaves them to it. */
  hold_s?: number;
  /** Size, without a sign. */
  permittedDrop_Pa?: number;
  test_Pa?: number;
}

/** What a method needs to know of a section; `null` where it was not told. */
export interface Pipe extends Told {
  /** The size the specification names, mm. */
  dn_mm: number | null;
  material: Material | null;
  laid_length_m: number | null;
  /** What only a test with water asks for. */
  water?: WaterPlan;
}

/** One line of the list in index.ts. */
export interface Method {
  id: string;
  title: string;
  source: string;
  /** One line for `methods list`. */
  summary: string;
  limits(pipe: Pipe): Limits;
}

/** A method from a file people wrote; plain figures, the same for every section. SI, vacuum pressures negative. */
export interface OwnMethod {
  id: string;
  title: string;
  source: string;
  medium: Limits["medium"];
  stop: Limits["stop"];
  charge_Pa: number;
  settle_s: number;
  test_Pa: number;
  hold_s: number;
  /** Size, without a sign. */
  permittedDrop_Pa: number;
  floor_Pa: number | null;
  boundary: Limits["boundary"];
  startTolerance_Pa: number | null;
  /** Never to be exceeded; left out, 1.15 × charge. */
  top_Pa?: number;
  earlyAcceptance?: string;
}
