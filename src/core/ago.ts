const UNIT_MS: Readonly<Record<string, number>> = { d: 86_400_000, h: 3_600_000 };

/** `7d`, `12h`: how long ago, ms; a day is 24 hours. `null`: it is written otherwise. */
export function agoFrom(word: string): number | null {
  const ago = /^(\d{1,5})([dh])$/.exec(word);
  return ago === null ? null : Number(ago[1]) * (UNIT_MS[ago[2] ?? ""] ?? 0);
}
