import { describe, expect, test } from "vitest";
import { DRIVERS } from "../../drivers/index.ts";
import { spoil, victimsOf } from "../support/fuzz.ts";

/** The bench `fuzz` does the same with a hundred times as much. */
const BYTES = 100_000;
/** The longest line or frame any driver holds, with room for the rest of its state. */
const MOST_STATE = 1500;

describe.each(DRIVERS)("$protocol under noise", (entry) => {
  const victims = victimsOf(entry);

  test("has scenes with a frame to come back to", () => expect(victims.length).toBeGreaterThan(0));

  test.each(victims)("$scene: no throw, no growth, reads again within one frame", (victim) => {
    const damage = spoil(entry, victim, BYTES / victims.length, 7);
    expect(damage.bursts).toBeGreaterThan(10);
    // The frame glued to the noise's last line may be lost, the next may not.
    expect(damage.mostFrames).toBeLessThanOrEqual(2);
    expect(damage.mostState).toBeLessThan(MOST_STATE);
    expect(damage.unused).toBeGreaterThan(0);
  });
});
