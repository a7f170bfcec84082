/** Numbers in [0, 1) from a seed; Mulberry32, in the public domain. */
export function dice(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/** Half of it is what gauges say with bits turned, bytes lost and doubled and pieces swapped, half of it anything at all. */
export function spoilt(corpus: Uint8Array, roll: () => number, size: number): Uint8Array {
  const noise = new Uint8Array(size);
  let from = 0;
  for (let i = 0; i < size; i++) {
    const fate = roll();
    if (fate < 0.02) from = Math.floor(roll() * corpus.length);
    else if (fate < 0.04) from++;
    else if (fate < 0.06) from--;
    const byte = corpus[from % corpus.length] ?? 0;
    noise[i] = fate > 0.97 ? byte ^ (1 << Math.floor(roll() * 8)) : byte;
    from = Math.max(0, from + 1);
  }
  if (roll() < 0.5) for (let i = 0; i < size; i++) noise[i] = Math.floor(roll() * 256);
  return noise;
}

/**
 * What comes over Bluetooth comes as whole records of what was asked for, whatever is in them: label, length, value. No byte of a value is 0:
 * the link's own word, which only our own process writes, begins with two.
 */
export function inRecords(noise: Uint8Array, labels: readonly number[], roll: () => number): Uint8Array {
  const out: number[] = [];
  for (let from = 0; from < noise.length; ) {
    const length = Math.min(1 + Math.floor(roll() * 40), noise.length - from);
    const label = labels[Math.floor(roll() * labels.length)] ?? 1;
    out.push(label & 0xff, label >> 8, length, ...noise.subarray(from, from + length).map((byte) => byte || 1));
    from += length;
  }
  return Uint8Array.from(out);
}
