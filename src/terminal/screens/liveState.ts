import type { Reference } from "../../core/driver.ts";
import type { RecordSource } from "../../core/link.ts";
import type { GaugeView } from "../../core/live/view.ts";
import type { UnitName } from "../../core/units.ts";
import type { KeyPress } from "../parts/keys.ts";
import { sizeOf } from "../parts/size.ts";

/** What a person may want of a gauge that is watched. */
export type LiveAction = "stop" | "zero" | "sound";

export interface LiveFacts {
  /** The gauge's address for people. */
  gauge: string;
  source: RecordSource;
  protocol: string;
  reference: Reference;
  unit: UnitName;
  /** What L/min is worked out for ("DN 150, 45 m"); `null`: size or length were not told. */
  pipe: string | null;
}

/** What the gauge has shown, when it is to be drawn. */
export interface LiveLook {
  view: GaugeView;
  recent: { time_s: ArrayLike<number>; pressure_Pa: ArrayLike<number> };
}

export interface LiveState extends LiveFacts {
  columns: number;
  rows: number;
  colour: boolean;
  look: LiveLook | null;
  /** A sentence to be seen for a while. */
  notice: string | null;
  noticeUntil_ms: number;
  sound: boolean;
  now_ms: number;
}

export type LiveEvent =
  | { kind: "look"; now_ms: number; look: LiveLook }
  | { kind: "notice"; now_ms: number; text: string }
  | { kind: "size"; columns: number | undefined; rows: number | undefined }
  | { kind: "sound" };

const NOTICE_MS = 8000;

export const firstLiveState = (
  facts: LiveFacts & { columns: number | undefined; rows: number | undefined; colour: boolean; sound: boolean },
): LiveState => ({ ...facts, ...sizeOf(facts.columns, facts.rows), look: null, notice: null, noticeUntil_ms: 0, now_ms: 0 });

export function nextLiveState(state: LiveState, event: LiveEvent): LiveState {
  switch (event.kind) {
    case "look": {
      const notice = event.now_ms < state.noticeUntil_ms ? state.notice : null;
      return { ...state, look: event.look, now_ms: event.now_ms, notice };
    }
    case "notice":
      return { ...state, notice: event.text, noticeUntil_ms: event.now_ms + NOTICE_MS };
    case "size":
      return { ...state, ...sizeOf(event.columns, event.rows) };
    case "sound":
      return { ...state, sound: !state.sound };
  }
}

const LETTERS: Readonly<Record<string, LiveAction>> = { q: "stop", z: "zero", s: "sound" };

/** Keys of the live screen; Ctrl-C ends it as q does, nothing is lost by either. */
export function liveKey(input: string, key: KeyPress): LiveAction | null {
  if (key.ctrl) return input === "c" ? "stop" : null;
  return LETTERS[input.toLowerCase()] ?? null;
}
