import { StaunchError } from "../../src/core/errors.ts";

/** The StaunchError that `action` throws; anything else, or nothing, is a failure. */
export function errorOf(action: () => unknown): StaunchError {
  try {
    action();
  } catch (error) {
    if (error instanceof StaunchError) return error;
    throw error;
  }
  throw new Error("nothing was thrown");
}

/** The same for a promise that must be refused. */
export async function rejectionOf(promise: Promise<unknown>): Promise<StaunchError> {
  try {
    await promise;
  } catch (error) {
    if (error instanceof StaunchError) return error;
    throw error;
  }
  throw new Error("nothing was refused");
}
