import { expect, it } from "vitest";
import { clocksSetBack } from "../../src/evidence/clockOrder.ts";

const at = (number: number, sealed_s: number, chain = "c1") => ({ chain, number, sealed_wall_ms: 1_767_225_600_000 + 1000 * sealed_s });

it("says nothing of clocks that go on, of slewing, of forward steps and of twins", () => {
  expect(clocksSetBack([])).toEqual([]);
  expect(clocksSetBack([at(1, 0), at(2, 60), at(3, 59.5), at(4, 90_000)])).toEqual([]);
  expect(clocksSetBack([at(1, 0), at(2, 60), at(2, 0)])).toEqual([]);
});

it("names the entry sealed earlier than the one before it, and by how much, in any order and across holes", () => {
  const found = [{ kind: "clock-set-back", chain: "c1", number: 5, before: 3, by_s: 3600 }];
  expect(clocksSetBack([at(5, 4000), at(3, 7600), at(1, 0), at(6, 4001)])).toEqual(found);
});

it("looks at each chain by itself", () => {
  expect(clocksSetBack([at(1, 9000), at(2, 9001), at(1, 0, "c2"), at(2, 1, "c2")])).toEqual([]);
});
