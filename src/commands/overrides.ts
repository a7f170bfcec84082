import { type StaunchError, usageError } from "../core/errors.ts";
import type { Limits } from "../core/methods/limits.ts";
import type { StoredRecord } from "../core/record.ts";
import { plainText } from "../core/text.ts";

const refuse = (message: string, hint: string): StaunchError => usageError("overrides-unfit", message, hint);

/**
 * The id of the failed air test that a water test overrides: EN 1610 lets the water result alone decide, of the same section.
 * StaunchErrors (64): `overrides-unfit`.
 */
export function overriddenBy(limits: Pick<Limits, "water">, section: string, { start, end }: StoredRecord): string {
  const id = plainText(start.id, 60);
  if (limits.water === undefined) throw refuse("Only a water test overrides an air test.", "Choose --method en1610-w or adh-water.");
  if (start.limits.medium !== "air") throw refuse(`Record ${id} is no air test.`, "Name the failed air test of this section.");
  if (end === null) throw refuse(`Record ${id} has no verdict yet.`, "Name an air test that has ended.");
  if (end.verdict.verdict === "pass")
    throw refuse(`Record ${id} passed: there is nothing to override.`, "Leave --overrides out, or name the air test that failed.");
  if (start.section.id !== plainText(section, 80))
    throw refuse(
      `Record ${id} is of section ${plainText(start.section.id, 60)}, this test of ${plainText(section, 60)}.`,
      "Give --section as the air test had it.",
    );
  return start.id;
}
