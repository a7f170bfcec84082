import type { Link } from "../core/link.ts";
import { GAP_EDGES_ms } from "../core/live/gaps.ts";
import type { GaugeView } from "../core/live/view.ts";
import { plainJson, plainText } from "../core/text.ts";
import { toUnit, type UnitName } from "../core/units.ts";
import type { LiveUpdate } from "../session/liveSession.ts";
import { liveLine, noiseWords, rateWords } from "../terminal/liveWords.ts";
import { sourceWord } from "../terminal/plain.ts";
import type { Io } from "./io.ts";

/** What the figures of a watched gauge look like for programs: SI and, for the rate, what the trade says. */
function liveFigures(view: GaugeView): object {
  const { loss, noise, health, gaps, steady, quick } = view;
  return {
    at_s: view.at_s,
    pressure_Pa: view.stale ? null : view.pressure_Pa,
    status: view.status,
    zero_Pa: view.zero?.zero_Pa ?? null,
    rate_Pa_min: quick === null ? null : quick.rate_Pa_s * 60,
    u_rate_Pa_min: quick === null || quick.u_Pa_s === null ? null : quick.u_Pa_s * 60,
    rate_mmH2O_min: quick === null ? null : toUnit(quick.rate_Pa_s * 60, "mmH2O"),
    steady_rate_Pa_min: steady === null ? null : steady.rate_Pa_s * 60,
    loss_Pa_min: loss?.loss_Pa_min ?? null,
    rate_L_min: loss?.rate_L_min ?? null,
    free_air_L_min: loss?.free_air_L_min ?? null,
    noise_Pa: noise?.sigma_Pa ?? null,
    readings_that_count_as_one: noise?.correlation ?? null,
    resolution_Pa: noise === null || noise.resolution_Pa === 0 ? null : noise.resolution_Pa,
    air_C: view.air_C,
    ambient_Pa: view.ambient_Pa,
    readings: view.readings,
    rate_Hz: health.rate_Hz,
    outages: health.outages,
    unused_bytes: health.unusedBytes,
    identity: health.identity,
    gaps: { below_ms: GAP_EDGES_ms, counts: gaps.counts, longest_ms: gaps.longest_ms, mean_ms: gaps.mean_ms },
  };
}

export interface LiveShow {
  json: boolean;
  events: boolean;
  /** Readings go to stdout, so nothing else may. */
  csvOnStdout: boolean;
  unit: UnitName;
  pipe: string | null;
}

/** A watched gauge without a screen: a line a second for people, events for programs. */
export class PlainLive {
  readonly #io: Io;
  readonly #show: LiveShow;
  readonly #say: (text: string) => void;

  constructor(io: Io, show: LiveShow) {
    this.#io = io;
    this.#show = show;
    this.#say = show.json || show.events || show.csvOnStdout ? (text) => io.err(text) : (text) => io.out(text);
  }

  opening({ describe, source }: Link, protocol: string, reference: string): void {
    const word = sourceWord(source);
    if (word !== null) this.#say(`${word}: proves no section.`);
    this.#say(`Gauge ${plainText(describe)}, protocol ${protocol}, ${reference}. No test, nothing is kept.`);
    this.#data({ event: "start", gauge: describe, source, protocol, reference });
  }

  update({ event, readings, gauge }: LiveUpdate): void {
    for (const { at_ms, pressure_Pa, unit, air_C, ambient_Pa, status } of readings) {
      const shown_Pa = pressure_Pa === null ? null : gauge.shown_Pa(pressure_Pa);
      this.#data({ event: "reading", at_s: gauge.seconds(at_ms), pressure_Pa: shown_Pa, unit, air_C, ambient_Pa, status });
    }
    if (event.kind === "link-up") this.#turn(gauge.seconds(event.at_ms), "link-up", `Line open: ${event.detail}`);
    if (event.kind === "link-down") this.#turn(gauge.seconds(event.at_ms), "link-down", `Gauge lost: ${event.reason}`);
  }

  #turn(at_s: number, code: string, text: string): void {
    this.#say(plainText(text, 400));
    this.#data({ event: "turn", at_s, code, text });
  }

  notice(text: string): void {
    this.#say(text);
  }

  tick(view: GaugeView): void {
    this.#say(liveLine(view, this.#show.unit, this.#show.pipe));
    this.#data({ event: "tick", ...liveFigures(view) });
  }

  end(view: GaugeView, link: Link, protocol: string): void {
    this.#say(`${view.readings} readings in ${view.at_s.toFixed(1)} s. ${rateWords(view, this.#show.unit)}. ${noiseWords(view.noise)}`);
    this.#data({ event: "end", ...liveFigures(view) });
    if (this.#show.json)
      this.#io.out(plainJson({ schema: "staunch/live/1", gauge: link.describe, source: link.source, protocol, ...liveFigures(view) }));
  }

  #data(value: object): void {
    if (this.#show.events) this.#io.out(plainJson(value));
  }
}
