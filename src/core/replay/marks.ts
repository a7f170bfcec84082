import type { JournalEvent } from "../journal.ts";
import type { LiveView, Turn } from "../judging/view.ts";
import type { Phase } from "../record.ts";

export type MarkKind = "phase" | "ask" | "alarm" | "link-up" | "link-down" | "key" | "zero" | "top-up" | "end" | "note";

/** Something one jumps to: a turn of the judge's, or an event that is no reading. */
export interface Mark {
  /** Place on the tape. */
  index: number;
  kind: MarkKind;
  text: string;
  /** Of a phase: which one began. */
  phase: Phase | null;
}

const PHASES: readonly string[] = ["idle", "charge", "settle", "trim", "hold", "vent"] satisfies Phase[];

/** Turns that tell of air or water put in. */
const TOP_UPS = new Set(["disturbed", "added"]);

function kindOf({ code, bell }: Turn): MarkKind {
  if (PHASES.includes(code)) return "phase";
  if (code === "link-down") return "link-down";
  if (code === "verdict") return "end";
  if (TOP_UPS.has(code)) return "top-up";
  if (bell === "alarm") return "alarm";
  return code === "ask" ? "ask" : "note";
}

/** What an event of the journal is to whoever looks for places; `null` for the many that are only bytes and timers. */
function ofEvent(event: JournalEvent, index: number): Mark | null {
  switch (event.kind) {
    case "link-up":
      return { index, kind: "link-up", text: `Gauge line open: ${event.detail}`, phase: null };
    case "key":
      return { index, kind: "key", text: `Key: ${event.action}`, phase: null };
    case "zero":
      return { index, kind: "zero", text: `Zero taken: ${event.zero_Pa} Pa`, phase: null };
    case "end":
      return { index, kind: "end", text: `End: ${event.cause}${event.detail === "" ? "" : `, ${event.detail}`}`, phase: null };
    default:
      return null;
  }
}

/** The places one update makes. */
export function marksOf(event: JournalEvent, index: number, turns: readonly Turn[], view: LiveView): Mark[] {
  const found: Mark[] = [];
  const own = ofEvent(event, index);
  if (own !== null) found.push(own);
  for (const turn of turns) {
    const kind = kindOf(turn);
    found.push({ index, kind, text: turn.text, phase: kind === "phase" ? view.phase : null });
  }
  return found;
}
