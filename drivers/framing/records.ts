/**
 * What a Bluetooth gauge notifies, as bytes of a journal: each value is one record, in order of arrival.
 *
 *     label(2, LE)  length(1)  value(length)
 *     6D 2A         04         C8 95 0F 00          characteristic 0x2A6D says 1021384
 *     03 00         05         31 32 2E 33 0A       6E400003-… says "12.3\n"; a value over 255 bytes goes as several records
 *     00 00         11         43 30 3A …           the link's own word: the address it is connected to
 *
 * A label is the 16 bits that stand in a UUID where a short one stands (Bluetooth Core 5.4, Vol 3 Part B §2.5.1).
 */
export interface ValueRecord {
  label: number;
  value: Uint8Array;
}

interface CutRecords {
  held: Uint8Array;
  records: ValueRecord[];
  unused: number;
}

const HEAD = 3;
export const ADDRESS_LABEL = 0;

/** `2a6d` or 32 hexadecimal digits → its label; a characteristic never has the link's own. */
export const labelOf = (uuid: string): number => Number.parseInt(uuid.length === 32 ? uuid.slice(4, 8) : uuid, 16) || 0xffff;

/** An address (`C0:00:00:00:00:02`) or, on macOS, an identifier of 32 digits; `null` when it is neither. */
export function addressIn({ label, value }: ValueRecord): string | null {
  if (label !== ADDRESS_LABEL) return null;
  const text = String.fromCharCode(...value);
  return /^([0-9A-F]{2}(:[0-9A-F]{2}){5}|[0-9A-F]{32})$/.test(text) ? text : null;
}

function joined(head: Uint8Array, tail: Uint8Array): Uint8Array {
  if (head.length === 0) return tail;
  const whole = new Uint8Array(head.length + tail.length);
  whole.set(head);
  whole.set(tail, head.length);
  return whole;
}

/**
 * Cuts the whole records out of `held` + `bytes`; where no record fits, one byte is given up and the next place tried, so that noise is
 * over with the next record. The same bytes give the same in any chunking.
 */
export function cutRecords(held: Uint8Array, bytes: Uint8Array, fits: (label: number, length: number) => boolean): CutRecords {
  const all = joined(held, bytes);
  const records: ValueRecord[] = [];
  let unused = 0;
  let from = 0;
  while (all.length - from >= HEAD) {
    const label = (all[from] ?? 0) | ((all[from + 1] ?? 0) << 8);
    const length = all[from + 2] ?? 0;
    if (!fits(label, length)) {
      unused++;
      from++;
      continue;
    }
    if (all.length - from < HEAD + length) break;
    records.push({ label, value: all.slice(from + HEAD, from + HEAD + length) });
    from += HEAD + length;
  }
  return { held: all.slice(from), records, unused };
}
