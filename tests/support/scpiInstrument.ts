import { spawn } from "node:child_process";
import { once } from "node:events";
import { Watched } from "./until.ts";

const SCRIPT = new URL("scpi_instrument.py", import.meta.url).pathname;

/** See scpi_instrument.py. Knots are [seconds since the first `READ?`, pascal]. */
export interface InstrumentScript {
  knots: [number, number][];
  noise_Pa?: number;
  seed?: number;
  resolution_Pa?: number;
  link?: string;
  hush?: [number, number][];
}

/** Starts the instrument; `path` is its serial port. `end` makes it go, and with it the line. */
export async function startInstrument(script: InstrumentScript): Promise<{ path: string; end(): Promise<void> }> {
  const child = spawn("python3", [SCRIPT, JSON.stringify(script)], { stdio: ["pipe", "pipe", "inherit"] });
  const exited = once(child, "exit");
  const watched = new Watched();
  let said = "";
  child.stdout.setEncoding("utf8").on("data", (text: string) => {
    said += text;
    watched.changed();
  });
  await watched.until("the instrument's port", () => said.endsWith("\n"));
  return {
    path: said.trim(),
    end: async () => {
      child.stdin.end();
      await exited;
    },
  };
}

/**
 * A pipe as the instrument shows it: pumped up in `pump_s`, settling towards `settled_Pa` with time constant `tau_s` while
 * leaking `leak_Pa_min`, bled to `start_Pa` at `trim_s`, vented at `vent_s`. Our own invention; no physics is checked by it.
 */
export function pipeKnots(pipe: {
  /** Open to the air before the pump starts: the program takes its zero then. */
  quiet_s: number;
  charge_Pa: number;
  settled_Pa: number;
  tau_s: number;
  leak_Pa_min: number;
  pump_s: number;
  trim_s: number;
  start_Pa: number;
  vent_s: number;
}): [number, number][] {
  const { quiet_s, charge_Pa, settled_Pa, tau_s, leak_Pa_min, pump_s, trim_s, start_Pa, vent_s } = pipe;
  const bleed_s = 2;
  const from_s = quiet_s + pump_s;
  const knots: [number, number][] = [
    [0, 0],
    [quiet_s, 0],
  ];
  for (let t_s = from_s; t_s <= trim_s; t_s += 0.5)
    knots.push([t_s, settled_Pa + (charge_Pa - settled_Pa) * Math.exp(-(t_s - from_s) / tau_s) - (leak_Pa_min / 60) * (t_s - from_s)]);
  knots.push([trim_s + bleed_s, start_Pa], [vent_s, start_Pa - (leak_Pa_min / 60) * (vent_s - trim_s - bleed_s)]);
  for (let t_s = vent_s + 0.5; t_s <= vent_s + 20; t_s += 0.5) knots.push([t_s, start_Pa * Math.exp(-(t_s - vent_s) / 2)]);
  return knots;
}
