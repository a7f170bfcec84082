/** Letters to change, add, drop or swap to get from one word to the other (optimal string alignment). */
function distance(a: string, b: string): number {
  let before: number[] = [];
  let previous = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const current = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1];
      let cost = Math.min((previous[j] ?? 0) + 1, (current[j - 1] ?? 0) + 1, (previous[j - 1] ?? 0) + (same ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) cost = Math.min(cost, (before[j - 2] ?? 0) + 1);
      current.push(cost);
    }
    before = previous;
    previous = current;
  }
  return previous[b.length] ?? 0;
}

/** The known word someone probably meant; `undefined` when none is near. A beginning of three letters counts as near. */
export function nearest(word: string, known: readonly string[]): string | undefined {
  const wanted = word.toLowerCase();
  const scored = known.map((name) => ({
    name,
    score: wanted.length >= 3 && name.startsWith(wanted) ? 0.5 : distance(wanted, name),
  }));
  const best = scored.reduce<{ name: string; score: number } | undefined>(
    (kept, next) => (kept === undefined || next.score < kept.score ? next : kept),
    undefined,
  );
  return best !== undefined && best.score <= Math.max(1, Math.floor(best.name.length / 3)) ? best.name : undefined;
}
