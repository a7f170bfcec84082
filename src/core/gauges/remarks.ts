import type { Finding, GaugeFacts, RecordStart, RemarkCode, Verdict } from "../record.ts";
import { plainText } from "../text.ts";
import { fitnessOf } from "./fitness.ts";

type Remark = Finding<RemarkCode>;

/** What the file says against the gauge of a test. Folded from the start and the identity seen, so a replay says the same. */
export function withGaugeOnFile(verdict: Verdict, start: RecordStart, identity: string | null): Verdict {
  const { gauge } = start;
  if (gauge.name === undefined) return verdict;
  const found = [...other(gauge, identity), ...unfit(start, verdict), ...outOfDate(gauge)];
  return found.length === 0 ? verdict : { ...verdict, remarks: [...verdict.remarks, ...found] };
}

const short = (outside: string): string => JSON.stringify(plainText(outside, 80));

function other({ name = "", url, identity, usbOnFile, usb }: GaugeFacts, seen: string | null): Remark[] {
  // A Bluetooth gauge is known by its address, also where it is looked for by its name; two gauges may bear one name.
  const isBluetooth = /^ble:/i.test(url);
  const pairs: [what: string, onFile: string | undefined, now: string | undefined][] = [
    [isBluetooth ? "answers at the Bluetooth address" : "calls itself", identity, seen ?? undefined],
    ["comes through the USB adapter", usbOnFile, usb],
  ];
  return pairs.flatMap(([what, onFile, now]): Remark[] => {
    if (onFile === undefined || now === undefined || sameName(onFile, now, isBluetooth)) return [];
    const text = `This may be another gauge than ${short(name)}: it ${what} ${short(now)}, on file is ${short(onFile)}.`;
    return [{ code: "other-gauge", text, figures: {} }];
  });
}

/** A Bluetooth address is the same in either case of its letters. */
function sameName(onFile: string, now: string, isBluetooth: boolean): boolean {
  const [one, other] = [onFile.trim(), now.trim()];
  return isBluetooth ? one.toLowerCase() === other.toLowerCase() : one === other;
}

/** Steps and error that are too coarse are remarked from the curve itself already. */
function unfit({ gauge, limits }: RecordStart, { remarks }: Verdict): Remark[] {
  const tooCoarse = remarks.some(({ code }) => code === "gauge-too-coarse");
  return fitnessOf(gauge, limits, null)
    .filter(({ fit, code }) => fit !== true && !(tooCoarse && (code === "resolution" || code === "accuracy")))
    .map(({ text, figures }) => ({
      code: "gauge-unfit",
      text: `The gauge on file is not shown to be fit for this method: ${plainText(text, 200)}.`,
      figures,
    }));
}

function outOfDate({ due, outOfDateReason }: GaugeFacts): Remark[] {
  if (outOfDateReason === undefined) return [];
  const text = `The gauge's calibration was due on ${plainText(due ?? "an unknown day", 20)}; the reason for using it: ${JSON.stringify(plainText(outOfDateReason, 200))}.`;
  return [{ code: "calibration-out-of-date", text, figures: {} }];
}
