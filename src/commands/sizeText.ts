/** A size in bytes as people read it: `812 bytes`, `32 kB`, `1.4 MB`; powers of a thousand. */
export function sizeText(bytes: number): string {
  if (bytes < 1000) return `${bytes} bytes`;
  const [size, unit] = bytes < 1e6 ? [bytes / 1e3, "kB"] : [bytes / 1e6, "MB"];
  return `${size < 10 ? size.toFixed(1) : Math.round(size)} ${unit}`;
}
