import { startPipe, step } from "../../drivers/simulated/pipe.ts";
import type { SimulatedSettings } from "../../drivers/simulated/settings.ts";
import { listen, notSpokenTo, speak } from "../../drivers/simulated/speaker.ts";
import type { PipeState } from "../../drivers/simulated/state.ts";
import type { CrewAct } from "../core/driver.ts";
import { usageError } from "../core/errors.ts";
import type { Stamp, StampedEvent } from "../core/journal.ts";
import type { Clock, Link, LinkSink, OpenLink } from "../core/link.ts";
import { QueueClock } from "./queueClock.ts";

export interface SimulatedLinkOptions {
  /** Seconds of pipe time in a real second. */
  pace: number | "as-fast-as-possible";
  /** Paces the run; no stamp is taken from it. */
  real: Clock;
  wallStart_ms: number;
  /** Sees every sample, with the truth in it; for checks of the judges. */
  watch?: (state: PipeState) => void;
}

/** Actions between two breaths of the event loop. */
const SLICE = 500;
/** A gauge answers an identification after this long. */
const ANSWER_ms = 8;
/** Nobody tests for half a day: a run nobody ends is over then. */
const LONGEST_ms = 12 * 3_600_000;

/**
 * A link whose gauge, pipe and crew are simulated. Its clock is pipe time: it stands at the last thing that happened and moves
 * only from one due action to the next, so that a seed gives the same journal at any pace.
 */
export function simulatedLink(settings: SimulatedSettings, options: SimulatedLinkOptions): Link {
  const { pace, wallStart_ms } = options;
  if (pace !== "as-fast-as-possible" && !(pace > 0 && pace <= 100_000))
    throw usageError("simulated-pace", `A simulated pipe cannot run at pace ${pace}.`, "--pace must be a number above 0 and up to 100000.");
  const clock = new QueueClock(wallStart_ms);
  const acts: CrewAct[] = [];
  return {
    clock,
    source: "simulated",
    describe: `simulated pipe, leak ${settings.leak} of the limit, seed ${settings.seed}`,
    hear: (act) => void acts.push(act),
    open: (sink) => run(settings, options, clock, acts, sink),
  };
}

function run(settings: SimulatedSettings, options: SimulatedLinkOptions, clock: QueueClock, acts: CrewAct[], sink: LinkSink): OpenLink {
  let state = startPipe(settings);
  let spokenTo = notSpokenTo;
  let closed = false;

  const emit = (event: StampedEvent): void => {
    if (!closed) sink.event(event);
  };
  const stamp = (): Stamp => ({ at_ms: clock.now_ms(), wall_ms: clock.wall_ms() });
  // Written out: there are ten thousand of these in a test, and a spread is slow.
  const emitBytes = (bytes: Uint8Array | null): void => {
    if (bytes !== null) emit({ kind: "bytes-in", bytes, at_ms: clock.now_ms(), wall_ms: clock.wall_ms() });
  };

  function takeSample(): void {
    const before_s = state.wallSteps_s;
    // Acts raised from here on, while this sample is handled, are for the next one.
    state = step(state, acts.splice(0));
    if (state.wallSteps_s !== before_s) clock.stepWall(Math.round((state.wallSteps_s - before_s) * 1000));
    options.watch?.(state);
    const turn = speak(spokenTo, state);
    spokenTo = turn.spokenTo;
    clock.at(Math.round(((state.sample + 1) * 1000) / settings.rate_Hz), takeSample);
    emitBytes(turn.said);
  }

  function take(bytes: Uint8Array): void {
    emit({ kind: "bytes-sent", bytes, ...stamp() });
    const turn = listen(spokenTo, state, bytes);
    spokenTo = turn.spokenTo;
    if (turn.said !== null) clock.at(clock.now_ms() + ANSWER_ms, () => emitBytes(turn.said));
  }

  clock.at(0, () => emit({ kind: "link-up", detail: `simulated pipe, protocol ${settings.protocol}, seed ${settings.seed}`, ...stamp() }));
  clock.at(Math.round(1000 / settings.rate_Hz), takeSample);
  const halt = drive(clock, options, sink);
  return {
    // As an action of its own, so that what was written never cuts into the handling of what made it be written.
    send: (bytes) => void (closed || clock.at(clock.now_ms(), () => take(bytes))),
    close: () => {
      closed = true;
      halt();
      return Promise.resolve();
    },
  };
}

/** Runs the pipe's clock in slices on the real one until halted; returns the way to halt it. */
function drive(clock: QueueClock, { pace, real }: SimulatedLinkOptions, sink: LinkSink): () => void {
  const began_ms = real.now_ms();
  const began_pipe_ms = clock.now_ms();
  let halted = false;
  const reached_ms = (): number =>
    pace === "as-fast-as-possible" ? Number.POSITIVE_INFINITY : began_pipe_ms + (real.now_ms() - began_ms) * pace;

  function slice(): void {
    const until_ms = Math.min(LONGEST_ms, reached_ms());
    for (let i = 0; i < SLICE && !halted; i++) {
      const due_ms = clock.nextDue_ms();
      if (due_ms === null || due_ms > until_ms) break;
      try {
        clock.runNext();
      } catch (error) {
        halted = true;
        sink.fail(error);
      }
    }
    sleep();
  }

  function sleep(): void {
    if (halted) return;
    const due_ms = clock.nextDue_ms();
    if (due_ms === null || due_ms > LONGEST_ms) return sink.done();
    const ahead_ms = pace === "as-fast-as-possible" ? 0 : Math.ceil((due_ms - began_pipe_ms) / pace);
    cancel = real.at(pace === "as-fast-as-possible" ? real.now_ms() : began_ms + ahead_ms, slice);
  }

  let cancel = real.at(began_ms, slice);
  return () => {
    halted = true;
    cancel();
  };
}
