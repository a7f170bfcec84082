import { field } from "../storage/shape.ts";
import type { Looked } from "../storage/standings.ts";
import type { EntryReport } from "./verifyArchive.ts";

interface Sealed {
  report: EntryReport;
  /** Hexadecimal. */
  seal: string;
}

interface Said {
  report: EntryReport;
  /** The seal that a review or second signature names: hexadecimal, `unsealed`, or whatever a stranger wrote. */
  names: unknown;
}

/** What shows only when all entries about a record lie side by side: each may be whole by itself. */
export class SideBySide {
  readonly #sealed = new Map<string, Sealed[]>();
  readonly #bare = new Set<string>();
  readonly #said: Said[] = [];

  add({ kind, subject, found }: Looked, report: EntryReport): void {
    if (found === null) this.#bare.add(subject);
    else if (kind !== "record") this.#said.push({ report, names: sealNamed(found.head) });
    else {
      const one = { report, seal: Buffer.from(found.sealed.seal).toString("hex") };
      const others = this.#sealed.get(subject);
      if (others) others.push(one);
      else this.#sealed.set(subject, [one]);
    }
  }

  /** Puts what was found into the reports. */
  settle(): void {
    for (const all of this.#sealed.values()) if (all.length > 1) for (const { report } of all) altered(report, TWO);
    for (const said of this.#said) this.#settleSaid(said);
  }

  #settleSaid({ report, names }: Said): void {
    const own = this.#sealed.get(report.record) ?? [];
    // A record that is not here may have been left out when this was cut out.
    if (own.length === 0 && !this.#bare.has(report.record)) return;
    if (names === "unsealed") unsealed(report);
    else if (!own.some(({ seal }) => seal === names)) altered(report, OTHER);
  }
}

const TWO = "more than one sealed entry claims to be this record";
const OTHER = "the record it is about is not the one that lies here";

function altered(report: EntryReport, what: string): void {
  if (report.standing !== "altered") Object.assign(report, { standing: "altered", what });
}

function unsealed(report: EntryReport): void {
  if (report.standing === "intact") Object.assign(report, { standing: "unsealed", what: "it was said while its record had no seal" });
}

const sealNamed = (head: unknown): unknown => field(field(head, "signs"), "seal");
