import type { CommandEntry } from "./command.ts";

/** THE list of commands, in the order help shows them. Each is loaded only when called for: `staunch --help` stays as quick as node itself. */
export const COMMANDS: readonly CommandEntry[] = [
  {
    name: "test",
    summary: "one hands-free test, from the first stroke of the pump to a verdict on record",
    load: async () => (await import("./test.ts")).test,
  },
  {
    name: "live",
    summary: "a gauge's figures with no test: zero check, leak hunt, what the gauge says",
    load: async () => (await import("./live.ts")).live,
  },
  {
    name: "replay",
    summary: "play a record or a CSV of readings through the judge again",
    load: async () => (await import("./replay.ts")).replay,
  },
  {
    name: "judge",
    summary: "the whole-curve verdict on a recording (CSV)",
    load: async () => (await import("./judge.ts")).judge,
  },
  {
    name: "records",
    summary: "list and show what the archive holds",
    load: async () => (await import("./records.ts")).records,
  },
  {
    name: "verify",
    summary: "are the records as they were sealed: seals, chain, keys, day-end code",
    load: async () => (await import("./verify.ts")).verify,
  },
  {
    name: "handover",
    summary: "cut records out into a file of their own, to be given away",
    load: async () => (await import("./handover.ts")).handover,
  },
  {
    name: "merge",
    summary: "take the records of handovers and other archives in",
    load: async () => (await import("./merge.ts")).merge,
  },
  {
    name: "review",
    summary: "the supervisor's table: search, curves on one another, accept or send back, summaries",
    load: async () => (await import("./review.ts")).review,
  },
  {
    name: "methods",
    summary: "list test methods, work one out for a section, check a method file",
    load: async () => (await import("./methods.ts")).methods,
  },
  {
    name: "gauges",
    summary: "gauges on file: find, add, show, calibration, fitness for a method, daily kit check",
    load: async () => (await import("./gauges.ts")).gauges,
  },
];
