import { advance, BAROMETER_Pa, massForStep, pressureOf, R, REST_K, settledGas, type Vessel } from "./air.ts";
import { between, type Streams } from "./dice.ts";
import type { SimulatedSettings, TestFigures } from "./settings.ts";

/** All that stays as it is while a simulated pipe is at work. */
export interface Plan {
  settings: SimulatedSettings;
  vessel: Vessel;
  /** +1 pressure, −1 vacuum. */
  sign: 1 | -1;
  /** Of the pipe alone; what leaks also drains the hose. */
  volume_m3: number;
  hose: Hose;
  pump: Pump;
  /** Effective area of the vent at the plug, m². */
  vent_m2: number;
}

/** The hose from pump and gauge to the pipe: pressure lost = linear · ṁ + square · ṁ² (Pa, kg/s). */
export interface Hose {
  volume_m3: number;
  linear: number;
  square: number;
}

export interface Pump {
  /** While a stroke is being made, kg/s. */
  stroke_kg_s: number;
  /** The crew gives up after this long without reaching the figure, s. */
  patience_s: number;
}

/** Working guess for still air in a pipe, ±60 %. */
const tauOf = (bore_m: number): number => 10 + 120 * bore_m;
/** Pure conduction in a round pipe (Nusselt number 5.78, thermal diffusivity of air 2.1e-5 m²/s) is the slowest there is; kept from 1.6 to 2.5 times. */
const slowestOf = (bore_m: number): number => Math.min(2.5, Math.max(1.6, bore_m ** 2 / (4 * 5.78 * 2.1e-5) / tauOf(bore_m)));
/** Strokes are made a little more than half of the time, the pump is drawn back in the rest. */
const DUTY = 0.545;

/** Gauge pressure a settled pipe loses in the hold, from the test pressure, with this leak and nothing else going on. */
function lossOf(vessel: Vessel, volume_m3: number, about: TestFigures): number {
  const gas = settledGas(vessel, volume_m3, about.test_Pa);
  const steps = Math.ceil(about.hold_s / 0.25);
  for (let i = 0; i < steps; i++) advance(gas, vessel, REST_K, BAROMETER_Pa, 0, 0, about.hold_s / steps);
  return Math.abs(about.test_Pa - (pressureOf(gas) - BAROMETER_Pa));
}

/** How far a leak has come, as a figure that grows in proportion to its coefficient: ln for laminar flow, root for an orifice. */
function progress(flow: Vessel["flow"], lostShare: number): number {
  const left = Math.max(1e-6, 1 - lostShare);
  return flow === "laminar" ? -Math.log(left) : 1 - Math.sqrt(left);
}

/** The leak of a multiple of the limit: solved for up to 1, in proportion beyond, where the pipe might run empty before the hold ends. */
function sizeLeak(multiple: number, vessel: Vessel, volume_m3: number, about: TestFigures): number {
  const size_Pa = Math.abs(about.test_Pa);
  const wanted = (Math.min(1, multiple) * about.permittedDrop_Pa) / size_Pa;
  if (wanted === 0) return 0;
  // First try: no heat at all, small pressures.
  const rate = (progress(vessel.flow, wanted) * volume_m3) / about.hold_s;
  const trial = { ...vessel, leak: vessel.flow === "laminar" ? rate : rate * Math.sqrt((2 * size_Pa) / (R * REST_K * BAROMETER_Pa)) };
  for (let round = 0; round < 20; round++) {
    const miss = progress(vessel.flow, wanted) / progress(vessel.flow, lossOf(trial, volume_m3, about) / size_Pa);
    trial.leak *= Math.min(2, Math.max(0.5, miss));
    if (Math.abs(miss - 1) < 1e-5) break;
  }
  return trial.leak * Math.max(1, multiple);
}

/** A crew picks a pump that fills the pipe in about a minute, and a hose that costs some hundredths of the charge. */
function pumpAndHose(charge_Pa: number, volume_m3: number, streams: Streams): { pump: Pump; hose: Hose } {
  const filling_s = between(streams, "crewDice", 40, 75);
  const stroke_kg_s = massForStep(Math.abs(charge_Pa), volume_m3) / filling_s / DUTY;
  const lost_Pa = 10 + 0.02 * Math.abs(charge_Pa);
  return {
    pump: { stroke_kg_s, patience_s: 5 * filling_s },
    hose: { volume_m3: 0.0005 * (1 + volume_m3), linear: (0.2 * lost_Pa) / stroke_kg_s, square: (0.8 * lost_Pa) / stroke_kg_s ** 2 },
  };
}

/** Works out leak, hose and pump from the settings; draws what varies from site to site. */
export function planFor(settings: SimulatedSettings, streams: Streams): Plan {
  const { about } = settings;
  const bore_m = about.dn_mm / 1000;
  const volume_m3 = (Math.PI / 4) * bore_m ** 2 * about.length_m;
  const { pump, hose } = pumpAndHose(about.charge_Pa, volume_m3, streams);
  // A wall warmed by the first rush of heat leaves a tail of up to about 8 % of it.
  const vessel: Vessel = {
    tau_s: tauOf(bore_m),
    slowest: slowestOf(bore_m),
    skin: between(streams, "crewDice", 0, 0.1),
    flow: settings.flow,
    leak: 0,
  };
  const vent_m = Math.min(0.1, Math.max(0.025, 0.015 + 0.1 * bore_m));
  return {
    settings,
    vessel: { ...vessel, leak: sizeLeak(settings.leak, vessel, volume_m3 + hose.volume_m3, about) },
    sign: about.test_Pa < 0 ? -1 : 1,
    volume_m3,
    hose,
    pump,
    vent_m2: 0.6 * (Math.PI / 4) * vent_m ** 2,
  };
}
