import type { Reference } from "../driver.ts";
import type { GaugeFacts } from "../record.ts";

/** What its owner and its certificate say of a gauge; `null`: not told. Days are `2026-03-01`. */
export interface GaugeSheet {
  url: string;
  /** Of a vented gauge above atmosphere, of an absolute one above vacuum. */
  low_Pa: number | null;
  high_Pa: number | null;
  resolution_Pa: number | null;
  /** Half-width of the error: as a fraction of the reading, as a fraction of the whole range, or in pascal. */
  accuracy_fraction: number | null;
  accuracy_full_scale: number | null;
  accuracy_Pa: number | null;
  reference: Reference | null;
  calibrated: string | null;
  due: string | null;
  certificate: string | null;
  serial: string | null;
  /** What it called itself (`*IDN?`) and the USB adapter it came through, when first seen; untrusted. */
  identity: string | null;
  usb: string | null;
}

export const EMPTY_SHEET: Omit<GaugeSheet, "url"> = {
  low_Pa: null,
  high_Pa: null,
  resolution_Pa: null,
  accuracy_fraction: null,
  accuracy_full_scale: null,
  accuracy_Pa: null,
  reference: null,
  calibrated: null,
  due: null,
  certificate: null,
  serial: null,
  identity: null,
  usb: null,
};

/** "% of full scale" is taken of the whole range: makers differ, and of the two readings this is the larger error. */
export const errorOf_Pa = ({ low_Pa, high_Pa, accuracy_full_scale, accuracy_Pa }: GaugeSheet): number | null =>
  accuracy_full_scale !== null && low_Pa !== null && high_Pa !== null ? accuracy_full_scale * (high_Pa - low_Pa) : accuracy_Pa;

/** The part of a record's gauge that comes from the file. */
export function factsOnFile(name: string, sheet: GaugeSheet): Partial<GaugeFacts> {
  const { low_Pa, high_Pa, serial, certificate, calibrated, due, identity, usb } = sheet;
  return {
    name,
    ...(serial === null ? {} : { serial }),
    ...(certificate === null ? {} : { certificate }),
    ...(calibrated === null ? {} : { calibrated }),
    ...(due === null ? {} : { due }),
    ...(low_Pa === null || high_Pa === null ? {} : { range_Pa: [low_Pa, high_Pa] as [number, number] }),
    ...(identity === null ? {} : { identity }),
    ...(usb === null ? {} : { usbOnFile: usb }),
  };
}
