/**
 * A curve as bytes that deflate well: four columns (time, pressure, air, ambient), each
 *
 *     0                                    not there
 *     1 decimals  int32 × n                value = running sum ÷ 10^decimals, exactly; the four bytes of all differences lie in four rows
 *     2           float64 × n              any other column, the eight bytes in eight rows
 *
 * A derived cache: it need not last, but it must give back every reading to the last bit.
 */
import type { Curve } from "../curve.ts";

const LARGEST = 2 ** 31 - 1;
const MOST_DECIMALS = 9;

export function curveBytes(curve: Curve): Uint8Array {
  const n = curve.time_s.length;
  const parts = [curve.time_s, curve.pressure_Pa, curve.air_C, curve.ambient_Pa].map((column) => columnBytes(column));
  const bytes = new Uint8Array(4 + parts.reduce((sum, part) => sum + part.length, 0));
  new DataView(bytes.buffer).setUint32(0, n, true);
  let place = 4;
  for (const part of parts) {
    bytes.set(part, place);
    place += part.length;
  }
  return bytes;
}

function columnBytes(column: Float64Array | null): Uint8Array {
  if (column === null) return Uint8Array.of(0);
  for (let decimals = 0; decimals <= MOST_DECIMALS; decimals++) {
    const steps = stepsOf(column, 10 ** decimals);
    if (steps !== null) return inRows(Uint8Array.of(1, decimals), new Uint8Array(steps.buffer), 4);
  }
  return inRows(Uint8Array.of(2), new Uint8Array(column.slice().buffer), 8);
}

/** Differences of whole numbers that give the column back exactly; `null` when they do not. */
function stepsOf(column: Float64Array, scale: number): Int32Array | null {
  const steps = new Int32Array(column.length);
  let before = 0;
  for (let i = 0; i < column.length; i++) {
    const value = column[i] ?? Number.NaN;
    const whole = Math.round(value * scale);
    // `| 0` also makes 0 of −0, which then is not the same and goes the other way.
    if (!(Math.abs(whole) <= LARGEST / 2) || !Object.is((whole | 0) / scale, value)) return null;
    steps[i] = whole - before;
    before = whole;
  }
  return steps;
}

function inRows(head: Uint8Array, bytes: Uint8Array, width: number): Uint8Array {
  const n = bytes.length / width;
  const out = new Uint8Array(head.length + bytes.length);
  out.set(head);
  for (let row = 0; row < width; row++) {
    const start = head.length + row * n;
    for (let i = 0; i < n; i++) out[start + i] = bytes[i * width + row] ?? 0;
  }
  return out;
}

/** RangeError when the bytes are no curve: a cache may be torn. */
export function curveFromBytes(bytes: Uint8Array): Curve {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const n = view.getUint32(0, true);
  if (n > bytes.length) throw new RangeError("the curve claims more readings than it has bytes");
  let place = 4;
  const next = (): Float64Array | null => {
    const kind = view.getUint8(place++);
    if (kind === 0) return null;
    if (kind > 2) throw new RangeError("a column of the curve is of no known kind");
    const scale = kind === 1 ? 10 ** view.getUint8(place++) : 0;
    const width = kind === 1 ? 4 : 8;
    if (place + width * n > bytes.length) throw new RangeError("a column of the curve is cut off");
    const column = kind === 1 ? sums(bytes, place, n, scale) : floats(bytes, place, n);
    place += width * n;
    return column;
  };
  const [time_s, pressure_Pa, air_C, ambient_Pa] = [next(), next(), next(), next()];
  if (time_s === null || pressure_Pa === null) throw new RangeError("the curve has no readings");
  return { time_s, pressure_Pa, air_C, ambient_Pa };
}

function sums(bytes: Uint8Array, place: number, n: number, scale: number): Float64Array {
  const column = new Float64Array(n);
  const [a, b, c, d] = [place, place + n, place + 2 * n, place + 3 * n];
  let sum = 0;
  for (let i = 0; i < n; i++) {
    sum += (bytes[a + i] ?? 0) | ((bytes[b + i] ?? 0) << 8) | ((bytes[c + i] ?? 0) << 16) | ((bytes[d + i] ?? 0) << 24);
    column[i] = sum / scale;
  }
  return column;
}

function floats(bytes: Uint8Array, place: number, n: number): Float64Array {
  const flat = new Uint8Array(8 * n);
  for (let row = 0; row < 8; row++) for (let i = 0; i < n; i++) flat[i * 8 + row] = bytes[place + row * n + i] ?? 0;
  return new Float64Array(flat.buffer);
}
