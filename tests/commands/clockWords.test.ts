import { expect, it } from "vitest";
import { clockJumpsOf, jumpsText, spanText } from "../../src/commands/clockWords.ts";
import { headOf } from "../../src/storage/sealHead.ts";

const HEAD = {
  ...{ schema: "staunch/sealed/1", kind: "record", chain: "c", number: 1, attempt: null, key: "k", subject: "s" },
  ...{ sealed_wall_ms: 0, blocks: [] },
};
const headWith = (clock: unknown) => headOf(new TextEncoder().encode(JSON.stringify({ ...HEAD, clock })));

it("reads steps out of a sealed head, and nothing out of one that has none or other things there", () => {
  const jumps = [
    { seq: 4, by_ms: -3_600_000 },
    { seq: 9, by_ms: 86_400_000 },
  ];
  expect(clockJumpsOf(headWith({ jumps, jump_count: 2 }))).toEqual({ count: 2, by_s: [-3600, 86_400] });
  expect(clockJumpsOf(headWith({ jumps: ["\u001b[2J", { seq: 1, by_ms: "x" }], jump_count: 1 }))).toEqual({ count: 1, by_s: [] });
  for (const clock of [undefined, null, {}, { jumps: [], jump_count: 0 }, { jumps: "many", jump_count: 3 }])
    expect(clockJumpsOf(headWith(clock))).toBeNull();
  expect(clockJumpsOf(null)).toBeNull();
});

it.each([
  [0, "0:00:00"],
  [-59.6, "0:01:00"],
  [3599, "0:59:59"],
  [86_400, "1 d 0:00:00"],
  [-266_645, "3 d 2:04:05"],
])("%d s is %s", (seconds, text) => expect(spanText(seconds)).toBe(text));

it("tells the first five steps and how many there were", () => {
  expect(jumpsText({ count: 1, by_s: [-3600] })).toContain("recorded: 1:00:00 back; readings");
  expect(jumpsText({ count: 60, by_s: Array.from({ length: 50 }, () => 2) })).toMatch(/recorded: (0:00:02 forward, ){5}… \(60 times\);/);
});
