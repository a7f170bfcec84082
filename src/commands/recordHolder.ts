import { isStaunchError } from "../core/errors.ts";
import { type LockOwner, lockHolder } from "../storage/lock.ts";
import type { Archive } from "../storage/open.ts";
import type { Unfinished } from "./recordPage.ts";

export type Holder = LockOwner | null | "unknown";

/** The record being written right now, if any; a broken side file must not keep anyone from reading. */
export function holderOf(archive: Archive): Holder {
  try {
    return lockHolder(archive.path);
  } catch (error) {
    if (isStaunchError(error)) return "unknown";
    throw error;
  }
}

/** What to call a record without an end; `null`: the lock cannot tell. */
export function unfinished(id: string, holder: Holder): Unfinished {
  if (holder === "unknown") return null;
  return holder?.record === id ? "running" : "interrupted";
}
