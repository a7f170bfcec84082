/** JSON out of an archive is outside input: asked field by field, never taken on trust. */

export function jsonObject(json: unknown): object | null {
  if (typeof json !== "string") return null;
  try {
    const value: unknown = JSON.parse(json);
    return isObject(value) ? value : null;
  } catch {
    return null;
  }
}

export const isObject = (value: unknown): value is object => typeof value === "object" && value !== null && !Array.isArray(value);

export const field = (of: unknown, name: string): unknown => (isObject(of) ? Reflect.get(of, name) : undefined);

export const text = (value: unknown): string | null => (typeof value === "string" ? value : null);

export const whole = (value: unknown): number | null => (typeof value === "number" && Number.isInteger(value) ? value : null);

/** What every field of an object must be; `number?` means number or null. */
export type Kind = "string" | "number" | "boolean" | "string?" | "number?" | "object" | "list";

/** True when `value` has every field of `kinds` with the right kind; others may stand beside them. */
export function has(value: unknown, kinds: Readonly<Record<string, Kind>>): boolean {
  return isObject(value) && Object.entries(kinds).every(([name, kind]) => isKind(field(value, name), kind));
}

function isKind(value: unknown, kind: Kind): boolean {
  if (kind === "list") return Array.isArray(value);
  if (kind === "object") return isObject(value);
  if (kind === "string?") return value === null || typeof value === "string";
  if (kind === "number?") return value === null || typeof value === "number";
  return typeof value === kind;
}
