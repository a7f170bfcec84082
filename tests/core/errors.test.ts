import { describe, expect, it } from "vitest";
import { dataError, isStaunchError, usageError } from "../../src/core/errors.ts";

describe("StaunchError", () => {
  it("carries a code for programs, a sentence and a hint for people, a cause and an exit code", () => {
    const cause = new Error("deep down");
    const error = dataError("csv-number", "Line 3: pressure_Pa is empty.", "Every row needs a number.", cause);
    expect(error).toBeInstanceOf(Error);
    expect({ ...error, message: error.message, cause: error.cause, name: error.name }).toEqual({
      code: "csv-number",
      message: "Line 3: pressure_Pa is empty.",
      hint: "Every row needs a number.",
      exit: 65,
      cause,
      name: "StaunchError",
    });
  });

  it("has no cause when none was given", () => {
    expect("cause" in usageError("a", "b", "c")).toBe(false);
  });

  it("is asked for by code, never by text", () => {
    const error = usageError("dn-missing", "No DN.", "Add --dn.");
    expect(isStaunchError(error)).toBe(true);
    expect(isStaunchError(error, "dn-missing")).toBe(true);
    expect(isStaunchError(error, "csv-number")).toBe(false);
    expect(isStaunchError(new Error("dn-missing"), "dn-missing")).toBe(false);
    expect(error.exit).toBe(64);
  });
});
