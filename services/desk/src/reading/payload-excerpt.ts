import type { Quarantined } from '@tidemark/api';
import { payloadExcerptLimit_bytes } from '@tidemark/api';

/**
 * The beginning of a payload as text that can do nothing: printable ASCII and line breaks stand as they are, the rest
 * is escaped, so that no control, direction or look-alike character reaches a screen, a terminal or a printer.
 */
export function payloadExcerpt(kept: Buffer, omitted_bytes: number): Quarantined['payload'] {
  const shown = kept.subarray(0, payloadExcerptLimit_bytes);
  const text = utf8(kept) ? escapeText(new TextDecoder().decode(shown)) : escapeBytes(shown);
  const length_bytes = kept.length + omitted_bytes;
  return {
    text,
    encoding: utf8(kept) ? 'utf-8' : 'bytes',
    length_bytes,
    omitted_bytes: length_bytes - shown.length,
  };
}

function utf8(bytes: Buffer): boolean {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    return true;
  } catch {
    return false;
  }
}

const harmless = (code: number): boolean => code === 0x0a || (code >= 0x20 && code < 0x7f);

const escapeText = (text: string): string =>
  Array.from({ length: text.length }, (_none, index) => text.charCodeAt(index))
    .map((code) => (harmless(code) && code !== 0x5c ? String.fromCharCode(code) : escapeUnit(code)))
    .join('');

const escapeUnit = (code: number): string => (code === 0x5c ? '\\\\' : `\\u${code.toString(16).padStart(4, '0')}`);

const escapeBytes = (bytes: Buffer): string =>
  [...bytes]
    .map((code) =>
      harmless(code) && code !== 0x5c ? String.fromCharCode(code) : `\\x${code.toString(16).padStart(2, '0')}`,
    )
    .join('');
