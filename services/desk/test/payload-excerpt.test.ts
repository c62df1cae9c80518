import { payloadExcerptLimit_bytes } from '@tidemark/api';
import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import { payloadExcerpt } from '../src/reading/payload-excerpt.ts';

describe('the excerpt of a payload', () => {
  test.prop([fc.uint8Array({ maxLength: 300 })])('is printable ASCII and line breaks, whatever was sent', (bytes) => {
    expect(payloadExcerpt(Buffer.from(bytes), 0).text).toMatch(/^[\n\x20-\x7e]*$/);
  });

  test.prop([fc.string({ unit: 'binary', maxLength: 100 })])(
    'loses nothing of a text: it reads back as it was',
    (text) => {
      const excerpt = payloadExcerpt(Buffer.from(text, 'utf8'), 0);

      expect(JSON.parse(`"${excerpt.text.replaceAll('"', '\\"').replaceAll('\n', '\\n')}"`)).toBe(text);
    },
  );

  it('escapes bytes that are no text one by one', () => {
    expect(payloadExcerpt(Buffer.from([0x41, 0xff, 0x00, 0x5c]), 0)).toEqual({
      text: 'A\\xff\\x00\\\\'.replace('\\\\', '\\x5c'),
      encoding: 'bytes',
      length_bytes: 4,
      omitted_bytes: 0,
    });
  });

  it('says how much is not shown: beyond its limit, and what was not kept', () => {
    expect(payloadExcerpt(Buffer.alloc(payloadExcerptLimit_bytes + 10, 0x41), 5)).toMatchObject({
      text: 'A'.repeat(payloadExcerptLimit_bytes),
      length_bytes: payloadExcerptLimit_bytes + 15,
      omitted_bytes: 15,
    });
  });
});
