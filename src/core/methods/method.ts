import type { Limits } from "./limits.ts";
import type { Material } from "./materials.ts";
import type { WaterPlan } from "./waterPlan.ts";

/** What a method needs to know of a section; `null` where it was not told. */
export interface Pipe {
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
}
