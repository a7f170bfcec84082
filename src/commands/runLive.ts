import { Subject } from "rxjs";
import { EXIT, type ExitCode } from "../core/errors.ts";
import { pulseGap_ms } from "../core/live/hunt.ts";
import { LiveGauge } from "../core/live/liveGauge.ts";
import type { Limits } from "../core/methods/limits.ts";
import { toldVolume_m3 } from "../core/physics/leak.ts";
import { type LiveUpdate, watchGauge } from "../session/liveSession.ts";
import { noReading } from "../session/noReading.ts";
import { every } from "../terminal/parts/pacing.ts";
import { pulses } from "../terminal/parts/pulses.ts";
import type { LiveScreenHandle } from "../terminal/runLive.ts";
import type { ReadyGauge } from "./gauge.ts";
import type { Io } from "./io.ts";
import { LiveCrew } from "./liveCrew.ts";
import type { ReadingsOut } from "./liveCsv.ts";
import { type LiveShow, PlainLive } from "./liveOutput.ts";
import { zeroWords } from "./zeroWords.ts";

export interface LiveRun {
  io: Io;
  gauge: ReadyGauge;
  limits: Limits;
  show: LiveShow & { plain: boolean; sound: boolean };
  seconds: number | undefined;
  csv: ReadingsOut | null;
}

/** A gauge that has not spoken by then will not. */
const PATIENCE_MS = 20_000;

/** Watches a gauge until somebody ends it, its time is over or its reader is gone. */
export async function runLive(run: LiveRun): Promise<ExitCode> {
  const { io, show, csv } = run;
  const { link, driver, facts } = run.gauge;
  const keys = new Subject<string>();
  const offInterrupt = io.onInterrupt(() => keys.next("stop"));
  const gauge = new LiveGauge({ reference: facts.reference, volume_m3: toldVolume_m3(run.limits) });
  const plain = new PlainLive(io, show);
  const tell = (text: string): void => (screen === null ? plain.notice(text) : screen.notice(text));
  const onKey = (action: "stop" | "zero"): void => {
    if (action === "stop") keys.next("stop");
    else tell(zeroWords(gauge.takeZero(), show.unit));
  };
  const screen: LiveScreenHandle | null = show.plain ? null : await openScreen(run, gauge, onKey, () => keys.next("stop"));
  if (screen === null) plain.opening(link, driver.protocol, facts.reference);
  const offTick = screen === null ? everySecond(run, gauge, plain) : () => undefined;
  const offLine = screen === null && io.stdinIsTty ? io.onLine((line) => typed(line, onKey)) : () => undefined;
  try {
    await follow(run, gauge, keys, (update) => {
      if (screen === null) plain.update(update);
      else screen.news();
    });
  } finally {
    offInterrupt();
    offTick();
    offLine();
    screen?.close();
    await csv?.close();
  }
  if ((csv?.lost() ?? 0) > 0) io.err(`staunch: ${csv?.lost()} lines of readings were lost: the file was not written fast enough.`);
  const view = gauge.view();
  if (view.readings === 0) throw noReading(link, view.at_s * 1000);
  plain.end(view, link, driver.protocol);
  return EXIT.pass;
}

/** Without a screen, letters and Enter stand for keys. */
function typed(line: string, onKey: (action: "stop" | "zero") => void): void {
  if (line.trim() === "z") onKey("zero");
  if (line.trim() === "q") onKey("stop");
}

/** A line a second, and the bell where a terminal stands by; returns its end. */
function everySecond({ io, show }: LiveRun, gauge: LiveGauge, plain: PlainLive): () => void {
  const { terminal } = io;
  const bell = show.sound && terminal !== null ? pulses(io.clock, (text) => void terminal.stdout.write(text)) : null;
  if (show.sound && bell === null) io.err("staunch: --sound rings a terminal's bell, and there is no terminal.");
  const off = every(io.clock, 1000, () => {
    const view = gauge.view();
    plain.tick(view);
    bell?.set(view.loss?.plain ? pulseGap_ms(view.loss.loss_Pa_min) : null);
  });
  return () => {
    off();
    bell?.stop();
  };
}

function follow(run: LiveRun, gauge: LiveGauge, keys: Subject<string>, show: (update: LiveUpdate) => void): Promise<void> {
  const { csv, seconds, gauge: ready } = run;
  const { link, driver } = ready;
  const crew = new LiveCrew(run.limits.charge_Pa, (act) => link.hear?.(act));
  const parts = { link, driver, gauge, keys, patience_ms: PATIENCE_MS, ...(seconds === undefined ? {} : { seconds }) };
  return new Promise<void>((resolve, reject) => {
    watchGauge(parts).subscribe({
      next: (update) => {
        for (const reading of update.readings) {
          if (reading.pressure_Pa === null) continue;
          const at_s = gauge.seconds(reading.at_ms);
          csv?.add(at_s, gauge.shown_Pa(reading.pressure_Pa), reading);
          crew.hear(at_s, reading.pressure_Pa);
        }
        show(update);
        // Nobody takes the readings any more: there is nothing left to do.
        if (csv?.gone()) keys.next("stop");
      },
      error: reject,
      complete: resolve,
    });
  });
}

async function openScreen(
  run: LiveRun,
  gauge: LiveGauge,
  onKey: (action: "stop" | "zero") => void,
  gone: () => void,
): Promise<LiveScreenHandle | null> {
  const { io, show } = run;
  const { link, driver, facts } = run.gauge;
  if (io.terminal === null) return null;
  const { runLiveScreen } = await import("../terminal/runLive.ts");
  const { reference } = facts;
  const gaugeWords = facts.name === undefined ? link.describe : `${facts.name}: ${link.describe}`;
  return runLiveScreen({
    ...io.terminal,
    facts: { gauge: gaugeWords, source: link.source, protocol: driver.protocol, reference, unit: show.unit, pipe: show.pipe },
    sound: show.sound,
    clock: io.clock,
    look: () => ({ view: gauge.view(), recent: gauge.recent() }),
    onKey,
    onError: gone,
    env: { ...io.env },
  });
}
