import { massForStep, movePlug, volumeForStep } from "./air.ts";
import { between, draw, normal } from "./dice.ts";
import type { Fault } from "./faults.ts";
import type { Live } from "./state.ts";
import { barometer_Pa } from "./weather.ts";

const TOPPING_UP_s = 1;

/** Starts the faults whose time has come. */
export function startFaults(s: Live, time_s: number): void {
  const { faults } = s.plan.settings;
  for (let next = faults[s.nextFault]; next !== undefined && next.at_s <= time_s + 1e-9; next = faults[s.nextFault]) {
    s.nextFault += 1;
    begin(s, next, time_s);
  }
}

function begin(s: Live, fault: Fault, time_s: number): void {
  if (fault.kind === "silence") s.silentUntil_s = Math.max(s.silentUntil_s, time_s + fault.size);
  else if (fault.kind === "wallclock") s.wallSteps_s += fault.size;
  else if (fault.kind === "unit") s.unitChoice = 1 + fault.size;
  else if (fault.kind === "spikes") {
    s.spikesLeft += fault.size;
    s.nextSpike_s = time_s;
  } else if (fault.kind === "topup") {
    s.topUpUntil_s = time_s + TOPPING_UP_s;
    s.topUp_kg_s = (s.plan.sign * massForStep(fault.size, s.volume_m3)) / TOPPING_UP_s;
  }
  // A plug creeps towards the lower pressure: outwards under a charge, inwards under a vacuum.
  else movePlug(s, volumeForStep(-s.plan.sign * fault.size, s));
}

/** Takes a reading: what stands at the tee against the gusty air outside, with noise, wild readings and steps. */
export function readGauge(s: Live): void {
  const { noise_Pa, resolution_Pa, about } = s.plan.settings;
  let pressure_Pa = s.hose_Pa - barometer_Pa(s) - s.gustFast_Pa - s.gustSlow_Pa;
  if (noise_Pa > 0) pressure_Pa += noise_Pa * normal(s, "gaugeDice");
  if (s.spikesLeft > 0 && s.time_s >= s.nextSpike_s) {
    s.spikesLeft -= 1;
    s.nextSpike_s = s.time_s + between(s, "gaugeDice", 4, 12);
    const wild_Pa = Math.max(500, Math.abs(about.charge_Pa)) * between(s, "gaugeDice", 0.2, 1);
    pressure_Pa += draw(s, "gaugeDice") < 0.5 ? -wild_Pa : wild_Pa;
  }
  s.shown_Pa = Math.round(pressure_Pa / resolution_Pa) * resolution_Pa;
}
