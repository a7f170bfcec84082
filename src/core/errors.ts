/** Process exit codes (sysexits numbers where one fits). */
export const EXIT = {
  pass: 0,
  fail: 1,
  undecided: 2,
  usage: 64,
  data: 65,
  gauge: 69,
  defect: 70,
  storage: 74,
  interrupted: 130,
} as const;

export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

export interface StaunchErrorParts {
  /** For programs: lower case words joined by hyphens, e.g. `unit-unknown`. */
  code: string;
  /** For people: one sentence with the offending value in it. */
  message: string;
  /** What to do next. */
  hint: string;
  exit: ExitCode;
  cause?: unknown;
}

/** Every failure a person may see. Anything thrown that is not one of these is a defect of ours. */
export class StaunchError extends Error {
  readonly code: string;
  readonly hint: string;
  readonly exit: ExitCode;

  constructor(parts: StaunchErrorParts) {
    super(parts.message, parts.cause === undefined ? undefined : { cause: parts.cause });
    this.name = "StaunchError";
    this.code = parts.code;
    this.hint = parts.hint;
    this.exit = parts.exit;
  }
}

/** True when `error` is meant for people and carries this code (any code when none is given). */
export function isStaunchError(error: unknown, code?: string): error is StaunchError {
  return error instanceof StaunchError && (code === undefined || error.code === code);
}

/** Wrong use of the command line. */
export const usageError = (code: string, message: string, hint: string): StaunchError =>
  new StaunchError({ code, message, hint, exit: EXIT.usage });

/** Something people brought (a file, a field) that cannot be used. */
export const dataError = (code: string, message: string, hint: string, cause?: unknown): StaunchError =>
  new StaunchError({ code, message, hint, exit: EXIT.data, cause });
