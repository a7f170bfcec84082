import { expect, it } from "vitest";
import { stateOf } from "../../../src/core/review/row.ts";

it("the newest accept or return that is intact decides", () => {
  const said = (word: "accept" | "return" | "note", wall_ms: number, intact = true) => ({
    word,
    by: "M",
    reason: "",
    wall_ms,
    seal: "",
    intact,
  });
  expect(stateOf([])).toBe("unreviewed");
  expect(stateOf([said("note", 9)])).toBe("unreviewed");
  expect(stateOf([said("return", 2), said("accept", 1), said("note", 3)])).toBe("returned");
  expect(stateOf([said("return", 1), said("accept", 2), said("return", 3, false)])).toBe("accepted");
});
