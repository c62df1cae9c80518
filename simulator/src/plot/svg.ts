/** What an attribute may be; a number is written to a hundredth, which no eye can tell from the rest. */
type Attribute = string | number | undefined;

/** One element of a drawing as text. Attributes that are undefined are left out; text is escaped, children are not. */
export function element(
  name: string,
  attributes: Readonly<Record<string, Attribute>>,
  children: readonly string[] = [],
): string {
  const written = Object.entries(attributes)
    .filter(([, value]) => value !== undefined)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? short(value) : escaped(value ?? '')}"`)
    .join('');
  return children.length === 0 ? `<${name}${written}/>` : `<${name}${written}>${children.join('')}</${name}>`;
}

/** A line of text at a place. */
export const textAt = (
  x: number,
  y: number,
  text: string,
  attributes: Readonly<Record<string, Attribute>> = {},
): string => element('text', { x, y, ...attributes }, [escaped(text)]);

/** A straight line. */
export const lineBetween = (
  [x1, y1]: readonly [number, number],
  [x2, y2]: readonly [number, number],
  attributes: Readonly<Record<string, Attribute>> = {},
): string => element('line', { x1, y1, x2, y2, ...attributes });

/** A path through points, moving instead of drawing where one is missing. */
export const pathThrough = (points: readonly (readonly [number, number])[]): string =>
  points.map(([x, y], index) => `${index === 0 ? 'M' : 'L'}${short(x)} ${short(y)}`).join('');

const short = (value: number): string => String(Math.round(value * 100) / 100);

/** Text that cannot be taken for markup; characters that XML 1.0 does not allow in a document are dropped. */
export const escaped = (text: string): string =>
  text
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g, '')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
