/** A value that survives JSON unchanged. */
export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/** A JSON object. */
export type JsonObject = Readonly<Record<string, Json>>;

/** JSON with keys in code-unit order and no spaces, so that equal values give equal text (and equal hashes). */
export function canonicalJson(value: Json): string {
  // Whoever writes much writes the keys in order, and the built-in writer is several times as fast.
  return isInOrder(value) ? JSON.stringify(value) : inOrder(value);
}

/** Whether the keys stand in code-unit order already, at every depth. */
function isInOrder(value: Json): boolean {
  if (value === null || typeof value !== 'object') return true;
  if (Array.isArray(value)) return (value as readonly Json[]).every(isInOrder);
  const object = value as JsonObject;
  let before = '';
  for (const key in object) {
    if (key < before || !isInOrder(object[key] ?? null)) return false;
    before = key;
  }
  return true;
}

function inOrder(value: Json): string {
  if (value === null || typeof value !== 'object') return JSON.stringify(value);
  if (Array.isArray(value)) return `[${(value as readonly Json[]).map(inOrder).join(',')}]`;
  const object = value as JsonObject;
  const members = Object.keys(object)
    .filter((key) => object[key] !== undefined)
    .sort()
    .map((key) => `${JSON.stringify(key)}:${inOrder(object[key] ?? null)}`);
  return `{${members.join(',')}}`;
}
