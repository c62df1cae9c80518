/** A value that survives JSON unchanged. */
export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/** A JSON object. */
export type JsonObject = Readonly<Record<string, Json>>;

/** JSON with keys in code-unit order and no spaces, so that equal values give equal text (and equal hashes). */
export function canonicalJson(value: Json): string {
  if (value === null || typeof value !== 'object') return JSON.stringify(value);
  if (Array.isArray(value)) return `[${(value as readonly Json[]).map(canonicalJson).join(',')}]`;
  const object = value as JsonObject;
  const members = Object.keys(object)
    .filter((key) => object[key] !== undefined)
    .sort()
    .map((key) => `${JSON.stringify(key)}:${canonicalJson(object[key] ?? null)}`);
  return `{${members.join(',')}}`;
}
