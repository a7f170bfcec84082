import type { LiveView, Turn } from "../../core/judging/view.ts";
import type { RecordStart } from "../../core/record.ts";
import type { KeyMeaning } from "../parts/keys.ts";
import { sizeOf } from "../parts/size.ts";
import { addPoints, type CurvePoint, EMPTY_TRACE, type Trace } from "../parts/trace.ts";

/** What a person at the keyboard may want of the running test. `close` leaves the screen of a finished one. */
export type TestAction = "stop" | "skip-vent" | "close" | `entry ${string}`;

/** All the test screen draws. `wide` and `high` are the terminal's columns and rows. */
export interface TestState {
  start: RecordStart;
  unit: string;
  /** Sentences that must stand before charging, thrust among them. */
  cautions: readonly string[];
  columns: number;
  rows: number;
  colour: boolean;
  /** Read at a desk, in a replay: the curve comes before block letters, and the space bar is not for pages. */
  desk: boolean;
  view: LiveView | null;
  /** The last turns, oldest first. */
  turns: readonly Turn[];
  trace: Trace;
  /** An action that waits for y or n. */
  confirm: "stop" | "skip-vent" | null;
  /** The figure or word being typed, in a water test or one read by eye. */
  typed: string;
  /** Screen time, and when the last view came, on the screen's own clock. */
  now_ms: number;
  heard_ms: number | null;
  /** Pages turned by hand, and when the paged text (cautions, verdict) last changed. */
  turned: number;
  pagesFrom_ms: number;
}

export type TestEvent =
  | {
      kind: "update";
      now_ms: number;
      view: LiveView;
      turns: readonly Turn[];
      points: readonly CurvePoint[];
    }
  | { kind: "size"; columns: number | undefined; rows: number | undefined }
  | { kind: "tick"; now_ms: number }
  | { kind: "key"; meaning: KeyMeaning };

export interface TestStep {
  state: TestState;
  /** For the session; `null`: nothing comes of it. */
  action: TestAction | null;
}

export interface TestScreenFacts {
  start: RecordStart;
  unit: string;
  cautions: readonly string[];
  columns?: number | undefined;
  rows?: number | undefined;
  colour: boolean;
}

const TURNS_KEPT = 8;

export const firstState = (facts: TestScreenFacts, now_ms: number): TestState => ({
  start: facts.start,
  unit: facts.unit,
  cautions: facts.cautions,
  ...sizeOf(facts.columns, facts.rows),
  colour: facts.colour,
  desk: false,
  view: null,
  turns: [],
  trace: EMPTY_TRACE,
  confirm: null,
  typed: "",
  now_ms,
  heard_ms: null,
  turned: 0,
  pagesFrom_ms: now_ms,
});

/** True once there is a verdict to read. */
export const isOver = (state: TestState): boolean => state.view?.finished === true;

function updated(state: TestState, event: Extract<TestEvent, { kind: "update" }>): TestState {
  const newPage = state.view?.phase !== event.view.phase || state.view?.finished !== event.view.finished;
  return {
    ...state,
    view: event.view,
    turns: event.turns.length === 0 ? state.turns : [...state.turns, ...event.turns].slice(-TURNS_KEPT),
    trace: addPoints(state.trace, event.points),
    // A question about a test that has ended meanwhile is moot.
    confirm: event.view.finished ? null : state.confirm,
    typed: takesTyping(event.view) ? state.typed : "",
    now_ms: event.now_ms,
    heard_ms: event.now_ms,
    turned: newPage ? 0 : state.turned,
    pagesFrom_ms: newPage ? event.now_ms : state.pagesFrom_ms,
  };
}

const takesTyping = (view: LiveView): boolean => view.water?.expects != null || view.keyed?.expects === true;

/** Litres are figures alone; a tube is told with both legs, a unit, or a word. */
const LONGEST_FIGURE = 8;
const LONGEST_WORDS = 24;

/** Keys that mean something by themselves are letters of a word once one is begun. */
const AS_LETTERS: Partial<Record<KeyMeaning, string>> = { yes: "y", no: "n", "skip-vent": "s", page: " " };

/** A figure or a word, then Enter. */
function typing(state: TestState, meaning: KeyMeaning): TestStep {
  if (meaning === "enter") return { state: { ...state, typed: "" }, action: `entry ${state.typed}` };
  if (meaning === "cancel") return { state: { ...state, typed: "" }, action: null };
  if (meaning === "erase") return { state: { ...state, typed: state.typed.slice(0, -1) }, action: null };
  const words = state.view?.keyed !== undefined;
  const text = meaning.startsWith("type ") ? meaning.slice("type ".length) : words ? AS_LETTERS[meaning] : undefined;
  if (text === undefined || !(words || /^[\d.,+]+$/.test(text))) return { state, action: null };
  return { state: { ...state, typed: `${state.typed}${text}`.slice(0, words ? LONGEST_WORDS : LONGEST_FIGURE) }, action: null };
}

/** Whether this key is one of what is being typed: in the vent an `s` that begins a word asks to skip it. */
function isTyped({ view, typed }: TestState, meaning: KeyMeaning): boolean {
  if (view === null || !takesTyping(view)) return false;
  return typed !== "" || meaning !== "skip-vent" || view.phase !== "vent";
}

function pressed(state: TestState, meaning: KeyMeaning): TestStep {
  const same: TestStep = { state, action: null };
  if (meaning === "enter" && state.typed === "") return pressed(state, "page");
  if (meaning === "page" && (state.typed === "" || state.view?.keyed === undefined))
    return { state: { ...state, turned: state.turned + 1 }, action: null };
  if (isOver(state)) return meaning === "quit" || meaning === "interrupt" ? { state, action: "close" } : same;
  // Ctrl-C is never hit by a glove, and whoever uses it expects it to act.
  if (meaning === "interrupt") return { state: { ...state, confirm: null }, action: "stop" };
  if (state.confirm !== null) {
    if (meaning === "yes") return { state: { ...state, confirm: null }, action: state.confirm };
    return meaning === "no" || meaning === "cancel" ? { state: { ...state, confirm: null }, action: null } : same;
  }
  if (meaning === "quit") return { state: { ...state, confirm: "stop" }, action: null };
  if (isTyped(state, meaning)) return typing(state, meaning);
  if (state.view?.phase !== "vent") return same;
  return meaning === "skip-vent" ? { state: { ...state, confirm: "skip-vent" }, action: null } : same;
}

/** The screen's next state; what it wants of the session comes back as a value. */
export function nextTestState(state: TestState, event: TestEvent): TestStep {
  switch (event.kind) {
    case "update":
      return { state: updated(state, event), action: null };
    case "size":
      return {
        state: { ...state, ...sizeOf(event.columns, event.rows) },
        action: null,
      };
    case "tick":
      return { state: { ...state, now_ms: event.now_ms }, action: null };
    case "key":
      return pressed(state, event.meaning);
  }
}
