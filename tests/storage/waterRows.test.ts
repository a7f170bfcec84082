import { describe, expect, it } from "vitest";
import { startOf, verdictOf } from "../../src/storage/recordRows.ts";
import { WaterCrew, waterStart } from "../support/waterCrew.ts";

/** The same object with one field, reached by a path, set to something else. */
function changed(value: object, path: readonly string[], to: unknown): string {
  const copy: unknown = structuredClone(value);
  let place: unknown = copy;
  for (const name of path.slice(0, -1)) place = Reflect.get(Object(place), name);
  Reflect.set(Object(place), path.at(-1) ?? "", to);
  return JSON.stringify(copy);
}

describe("a water test in an archive", () => {
  const start = { ...waterStart({ plan: { standpipe_mm: 100 } }), overrides: "20260301-080000-aaaa" };
  const verdict = new WaterCrew().untilHold().wait(1810).type("added 0").end();

  it("comes back as it was kept", () => {
    expect(startOf(JSON.stringify(start), start.id)).toEqual(start);
    expect(verdictOf(JSON.stringify(verdict))).toEqual(verdict);
  });

  it.each([
    [["overrides"], 7],
    [["limits", "water"], null],
    [["limits", "water", "permitted_L"], "much"],
    [["limits", "water", "part"], "bathtub"],
    [["limits", "water", "plan"], null],
    [["limits", "water", "plan", "chambers"], [{}]],
  ])("is no start of ours with %j = %j", (path, to) => expect(startOf(changed(start, path, to), start.id)).toBeNull());

  it.each([
    [["water"], null],
    [["water", "added_L"], "3"],
    [["water", "volume"], "guessed"],
  ])("is no verdict of ours with %j = %j", (path, to) => expect(verdictOf(changed(verdict, path, to))).toBeNull());
});
