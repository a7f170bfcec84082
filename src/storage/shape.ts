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

const isObject = (value: unknown): value is object => typeof value === "object" && value !== null && !Array.isArray(value);

/** A field of an object; `undefined` where there is none. */
export const field = (of: unknown, name: string): unknown => (isObject(of) ? Reflect.get(of, name) : undefined);

/** `null`: it is no text. */
export const text = (value: unknown): string | null => (typeof value === "string" ? value : null);

/** `null`: it is no whole number. */
export const whole = (value: unknown): number | null => (typeof value === "number" && Number.isInteger(value) ? value : null);

/** What a field must be: a type (`number?` means number or null), or one of a list of words. */
export type Kind = "string" | "number" | "boolean" | "string?" | "number?" | "object" | "texts" | readonly string[];
export type Kinds = Readonly<Record<string, Kind>>;

/** True when `value` has every field of `kinds` with the right kind; others may stand beside them. */
export const has = (value: unknown, kinds: Kinds): boolean =>
  isObject(value) && Object.entries(kinds).every(([name, kind]) => isKind(field(value, name), kind));

/** True when `value` is a list and every entry has these fields. */
export const hasEach = (value: unknown, kinds: Kinds): boolean => Array.isArray(value) && value.every((entry) => has(entry, kinds));

function isKind(value: unknown, kind: Kind): boolean {
  if (typeof kind !== "string") return typeof value === "string" && kind.includes(value);
  if (kind === "texts") return Array.isArray(value) && value.every((entry) => typeof entry === "string");
  if (kind === "object") return isObject(value);
  if (kind === "string?") return value === null || typeof value === "string";
  if (kind === "number?") return value === null || typeof value === "number";
  return typeof value === kind;
}
