import { describe, expect, it } from 'vitest';
import { example, receive, rejectionOf, signalOf } from './message.ts';

const bytes = (...values: readonly number[]) => Uint8Array.from(values);
const reasonOf = (payload: unknown, contentType?: string) =>
  rejectionOf(receive(payload, contentType === undefined ? {} : { contentType })).reason;

describe('bytes', () => {
  const padded = (size_bytes: number) => {
    const text = JSON.stringify(example);
    return text + ' '.repeat(size_bytes - text.length);
  };

  it.each([
    ['nothing', '', 'empty-payload'],
    ['more than 64 KiB', padded(65_537), 'too-large'],
    ['a lone continuation byte', bytes(0x22, 0x80, 0x22), 'not-utf8'],
    ['an overlong form', bytes(0x22, 0xc0, 0xaf, 0x22), 'not-utf8'],
    ['a surrogate in UTF-8', bytes(0x22, 0xed, 0xa0, 0x80, 0x22), 'not-utf8'],
    ['UTF-16', bytes(0xff, 0xfe, 0x7b, 0x00, 0x7d, 0x00), 'not-utf8'],
    ['a byte order mark alone', bytes(0xef, 0xbb, 0xbf), 'not-json'],
    ['two byte order marks', `\ufeff\ufeff${JSON.stringify(example)}`, 'not-json'],
    ['half a JSON text', '{"specversion":"1.0"', 'not-json'],
    ['a JSON text and more', `${JSON.stringify(example)}x`, 'not-json'],
    ['NaN', JSON.stringify(example).replace(':3,', ':NaN,'), 'not-json'],
    ['a JSON scalar', '7', 'not-a-cloud-event'],
    ['a JSON array', '[]', 'not-a-cloud-event'],
    ['null', 'null', 'not-a-cloud-event'],
    ['data without its event', JSON.stringify(example.data), 'binary-mode'],
    [
      'a key given twice',
      JSON.stringify(example).replace('"state":"active"', '"state":"active","state":"restored"'),
      'duplicate-key',
    ],
    [
      'a key given twice, once escaped',
      JSON.stringify(example).replace('"state":"active"', String.raw`"state":"active","st\u0061te":"active"`),
      'duplicate-key',
    ],
    ['seventeen levels', `{"a":${'['.repeat(16)}${']'.repeat(16)}}`, 'too-deep'],
    ['sixteen levels', `{"a":${'['.repeat(15)}${']'.repeat(15)}}`, 'not-a-cloud-event'],
  ])('of %s are refused', (_what, payload, reason) => {
    expect(reasonOf(payload)).toBe(reason);
  });

  it('of 64 KiB are taken', () => {
    expect(receive(padded(65_536))).toEqual(receive(example));
  });

  it('with colons, quotes, braces and backslashes inside text do not look like keys or levels', () => {
    const text = String.raw`"a":{"b":[[[[[[[[[[[[[[[[[[[\\"\":"`;

    expect(signalOf(receive({ ...example, data: { signal: 'heat', state: 'active', text } })).text).toBe(text);
  });
});

describe('a content type', () => {
  it.each([
    undefined,
    '',
    'application/json',
    'application/cloudevents+json',
    'Application/CloudEvents+JSON; charset=UTF-8',
    'application/cloudevents+json;charset="utf-8"',
  ])('%s brings JSON', (contentType) => {
    expect(receive(example, contentType === undefined ? {} : { contentType }).ok).toBe(true);
  });

  it.each([
    'text/plain',
    'application/cloudevents',
    'application/cloudevents-batch+json',
    'application/cloudevents+avro',
    'application/cloudevents+json; charset=iso-8859-1',
    'application/octet-stream',
  ])('%s is refused', (contentType) => {
    expect(reasonOf(example, contentType)).toBe('unsupported-content-type');
  });

  it('of JSON around data alone is CloudEvents binary mode, and the rejection says so', () => {
    const { reason, detail } = rejectionOf(receive(example.data, { contentType: 'application/json' }));

    expect(reason).toBe('binary-mode');
    expect(detail).toContain('binary mode is not accepted');
  });

  it('of CloudEvents does not bring Contact ID, nor that of Contact ID JSON', () => {
    expect(reasonOf('1234 18 1113 01 003 1', 'application/cloudevents+json')).toBe('not-json');
    expect(reasonOf(example, 'application/vnd.contact-id')).toBe('malformed-contact-id');
  });
});
