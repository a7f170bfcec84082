import { cutRecords } from "../../../drivers/framing/records.ts";
import { simulatedSettings } from "../../../drivers/simulated/settings.ts";
import type { CrewAct } from "../../../src/core/driver.ts";
import type { Limits } from "../../../src/core/methods/limits.ts";
import { simulatedLink } from "../../../src/links/simulated.ts";
import { ESS, VirtualGauge } from "./gauge.ts";
import type { Room } from "./room.ts";

const UUID_TAIL = "-0000-1000-8000-00805f9b34fb";

export interface PipeOverBluetooth {
  gauge: VirtualGauge;
  hear(act: CrewAct): void;
  end(): Promise<void>;
}

/** A simulated pipe whose gauge speaks over the air of a room, in the room's time. It begins when somebody listens. */
export function pipeOverBluetooth(room: Room, address: string, sim: string, limits: Limits): PipeOverBluetooth {
  const gauge = new VirtualGauge(room.air, { address, name: "Pipe", services: ESS });
  const options = Object.fromEntries(new URLSearchParams(`protocol=ess&${sim}`));
  const { test_Pa, charge_Pa, permittedDrop_Pa, hold_s, dn_mm, laid_length_m } = limits;
  const settings = simulatedSettings(options, {
    test_Pa,
    charge_Pa,
    permittedDrop_Pa,
    hold_s,
    dn_mm: dn_mm ?? 150,
    length_m: laid_length_m ?? 50,
  });
  const link = simulatedLink(settings, { pace: 1, real: room.clock, wallStart_ms: 0 });
  const open = link.open({
    event: (event) => {
      if (event.kind !== "bytes-in") return;
      for (const { label, value } of cutRecords(new Uint8Array(0), event.bytes, () => true).records)
        gauge.notify(`0000${label.toString(16).padStart(4, "0")}${UUID_TAIL}`, Buffer.from(value));
    },
    fail: (error) => {
      throw error;
    },
    done: () => {},
  });
  return { gauge, hear: (act) => link.hear?.(act), end: () => open.close() };
}
