/**
 * Chance for the simulated pipe: Marsaglia's 32-bit xorshift (shifts 13, 17, 5; Journal of Statistical Software 8/14, 2003,
 * from memory), one stream each for gauge, crew and weather, so that asking more of one does not change the others.
 */
export interface Streams {
  gaugeDice: number;
  crewDice: number;
  weatherDice: number;
}

/** Spreads a seed over all bits; a stream never starts at 0, where xorshift would stay. */
function scatter(seed: number, stream: number): number {
  let x = (seed ^ Math.imul(stream, 0x3c6ef372)) | 0;
  for (let round = 0; round < 4; round++) {
    x = Math.imul(x ^ (x >>> 15), 0x2c1b3c6d);
    x = (x + Math.imul(stream + round, 0x297a2d39)) ^ (x >>> 13);
  }
  return x === 0 ? 1 : x | 0;
}

/** The three streams of a seed (an integer). */
export const castDice = (seed: number): Streams => ({
  gaugeDice: scatter(seed, 1),
  crewDice: scatter(seed, 2),
  weatherDice: scatter(seed, 3),
});

/** Next number in (0, 1) of one stream; moves it on. */
export function draw(streams: Streams, stream: keyof Streams): number {
  let x = streams[stream];
  x ^= x << 13;
  x ^= x >>> 17;
  x ^= x << 5;
  streams[stream] = x;
  return (x >>> 0) / 4_294_967_296;
}

/** Evenly between `low` and `high`. */
export const between = (streams: Streams, stream: keyof Streams, low: number, high: number): number =>
  low + (high - low) * draw(streams, stream);

/** Normal with mean 0 and standard deviation 1 (Box and Muller 1958). */
export const normal = (streams: Streams, stream: keyof Streams): number =>
  Math.sqrt(-2 * Math.log(draw(streams, stream))) * Math.cos(2 * Math.PI * draw(streams, stream));
