import { describe, expect, it } from "vitest";
import { limitsFor } from "../../../src/core/methods/index.ts";
import { closedLoop } from "../../support/closedLoop.ts";

const METHODS = ["en1610-la", "en1610-lb", "en1610-lc", "en1610-ld", "uk-100mm", "adh-110mm"] as const;

describe("a hose that shows itself and not the pipe", () => {
  it.each(METHODS.flatMap((id) => [1, 2, 3].flatMap((seed) => [100, 300].map((dn_mm) => [id, dn_mm, seed] as const))))(
    "%s DN %d, seed %d: never a pass, whatever the leak",
    async (id, dn_mm, seed) => {
      const limits = limitsFor(id, { dn_mm, material: "pvc", laid_length_m: 30 });
      const leak = [0, 0.5, 3][seed - 1] ?? 0;
      const { last } = await closedLoop({ sim: `leak=${leak}&seed=${seed}&hose=blocked`, limits, keep: false });
      expect(last.judge.verdict?.verdict).toBe("void");
    },
    20_000,
  );
});
