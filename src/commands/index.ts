import type { CommandEntry } from "./command.ts";

/** THE list of commands, in the order help shows them. Loaded only when called for: `staunch --help` stays as quick as node itself. */
export const COMMANDS: readonly CommandEntry[] = [];
