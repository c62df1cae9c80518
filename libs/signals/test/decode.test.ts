import { decode } from '@tidemark/signals';
import { describe, expect, it } from 'vitest';
import { example, receive, receivedAt, rejectionOf, signalOf } from './message.ts';
import { key } from './signal-arbitrary.ts';

const withData = (data: unknown) => ({ ...example, data });
const reasonOf = (payload: unknown) => rejectionOf(receive(payload)).reason;

describe('a signal', () => {
  it('of the contract’s example is decoded whole', () => {
    expect(receive(example, { contentType: 'application/cloudevents+json' })).toEqual({
      ok: true,
      value: {
        type: 'signal',
        signal: {
          key,
          source: '/quayside-cold-store/panel-2',
          id: '7f0c',
          observedAt: Date.UTC(2026, 2, 2, 8, 14, 7, 120),
          sequence: 1842n,
          point: 3,
          text: 'optional, at most 200 characters',
          content: { kind: 'contact', name: 'waterflow', state: 'active' },
          form: 'cloudevent',
        },
      },
    });
  });

  it('may leave out time, sequence, subject, point and text', () => {
    const { specversion, id, source, type } = example;

    expect(
      signalOf(receive({ specversion, id, source, type, data: { signal: 'ac-power', state: 'restored' } })),
    ).toEqual({
      key,
      source,
      id,
      observedAt: undefined,
      sequence: undefined,
      point: undefined,
      text: undefined,
      content: { kind: 'contact', name: 'ac-power', state: 'restored' },
      form: 'cloudevent',
    });
  });

  it.each([
    [
      { signal: 'reset', state: 'performed' },
      { kind: 'act', name: 'reset' },
    ],
    [
      { signal: 'silence', state: 'performed' },
      { kind: 'act', name: 'silence' },
    ],
    [
      { signal: 'periodic-test', state: 'active' },
      { kind: 'periodic-test', name: 'periodic-test' },
    ],
    [
      { signal: 'solenoid', state: 'active' },
      { kind: 'contact', name: 'solenoid', state: 'active' },
    ],
    [
      { signal: 'flow', value: 60_000, unit: 'L/min' },
      { kind: 'reading', name: 'flow', si: 1, value: 60_000, unit: 'L/min' },
    ],
    [
      { signal: 'prime-pressure', value: 6.5, unit: 'bar' },
      { kind: 'reading', name: 'prime-pressure', si: 650_000, value: 6.5, unit: 'bar' },
    ],
  ])('%j says %j', (data, content) => {
    expect(signalOf(receive(withData(data))).content).toEqual(content);
  });

  it('of a point the profile does not have is a signal, not a rejection', () => {
    expect(signalOf(receive(withData({ signal: 'heat', state: 'active', point: 99 }))).point).toBe(99);
  });

  it('reads minus zero as zero', () => {
    const minus = JSON.stringify(withData({ signal: 'flow', value: 7, unit: 'gpm', point: 7 })).replaceAll(':7', ':-0');

    expect(signalOf(receive(minus))).toMatchObject({ point: 0, content: { value: 0, si: 0 } });
  });

  it('may begin with a byte order mark, which JSON lets a reader ignore (RFC 8259, 8.1)', () => {
    expect(receive(`\ufeff${JSON.stringify(example)}`)).toEqual(receive(example));
  });
});

describe('data that says too little, too much or something else', () => {
  it.each([
    [undefined, 'malformed-data', 'At data: expected object, found nothing.'],
    [null, 'malformed-data', 'At data: expected object, found null.'],
    [[], 'malformed-data', 'At data: expected object, found array.'],
    [
      { state: 'active' },
      'malformed-data',
      'At data.signal: expected a signal of the vocabulary, such as "waterflow".',
    ],
    [
      { signal: 'water-flow', state: 'active' },
      'unknown-signal',
      'At data.signal: expected a signal of the vocabulary, such as "waterflow".',
    ],
    [
      { signal: 'toString', state: 'active' },
      'unknown-signal',
      'At data.signal: expected a signal of the vocabulary, such as "waterflow".',
    ],
    [{ signal: 'waterflow' }, 'malformed-data', 'At data.state: expected "active" or "restored".'],
    [{ signal: 'waterflow', state: 'performed' }, 'malformed-data', 'At data.state: expected "active" or "restored".'],
    [{ signal: 'waterflow', state: 'Active' }, 'malformed-data', 'At data.state: expected "active" or "restored".'],
    [{ signal: 'reset', state: 'active' }, 'malformed-data', 'At data.state: expected "performed".'],
    [{ signal: 'silence' }, 'malformed-data', 'At data.state: expected "performed".'],
    [{ signal: 'periodic-test', state: 'restored' }, 'malformed-data', 'At data.state: expected "active".'],
    [
      { signal: 'waterflow', state: 'active', value: 3, unit: 'bar' },
      'malformed-data',
      'At data: expected no member "value", "unit".',
    ],
    [
      { signal: 'flow', value: 3, unit: 'gpm', state: 'active' },
      'malformed-data',
      'At data: expected no member "state".',
    ],
    [{ signal: 'flow', value: 3 }, 'malformed-data', 'At data.unit: expected "m3/s" or "L/min" or "L/s" or "gpm".'],
    [
      { signal: 'flow', value: 3, unit: 'psi' },
      'malformed-data',
      'At data.unit: expected "m3/s" or "L/min" or "L/s" or "gpm".',
    ],
    [
      { signal: 'supply-pressure', value: 3, unit: 'gpm' },
      'malformed-data',
      'At data.unit: expected "Pa" or "kPa" or "bar" or "psi".',
    ],
    [{ signal: 'supply-pressure', unit: 'psi' }, 'malformed-data', 'At data.value: expected number, found nothing.'],
    [
      { signal: 'supply-pressure', value: '3', unit: 'psi' },
      'malformed-data',
      'At data.value: expected number, found string.',
    ],
    [
      { signal: 'supply-pressure', value: 1e10, unit: 'psi' },
      'malformed-data',
      'At data.value: expected 1000000000 or less.',
    ],
    [{ signal: 'heat', state: 'active', point: -1 }, 'malformed-data', 'At data.point: expected 0 or more.'],
    [{ signal: 'heat', state: 'active', point: 65_536 }, 'malformed-data', 'At data.point: expected 65535 or less.'],
    [{ signal: 'heat', state: 'active', point: 1.5 }, 'malformed-data', 'At data.point: expected a whole number.'],
    [
      { signal: 'heat', state: 'active', point: '1' },
      'malformed-data',
      'At data.point: expected number, found string.',
    ],
    [{ signal: 'heat', state: 'active', point: null }, 'malformed-data', 'At data.point: expected number, found null.'],
    [
      { signal: 'heat', state: 'active', text: 'x'.repeat(201) },
      'malformed-data',
      'At data.text: expected text of at most 200 characters, without half a surrogate pair.',
    ],
    [
      { signal: 'heat', state: 'active', text: '\ud800' },
      'malformed-data',
      'At data.text: expected text of at most 200 characters, without half a surrogate pair.',
    ],
    [{ signal: 'heat', state: 'active', zone: 1 }, 'malformed-data', 'At data: expected no member "zone".'],
  ])('%j is refused as %s: %s', (data, reason, detail) => {
    expect(rejectionOf(receive(withData(data)))).toEqual({ reason, detail, key });
  });

  it('may hold text of 200 characters, however many code units that takes', () => {
    const text = '\u{1f525}'.repeat(200);

    expect(signalOf(receive(withData({ signal: 'heat', state: 'active', text }))).text).toBe(text);
    expect(reasonOf(withData({ signal: 'heat', state: 'active', text: `${text}x` }))).toBe('malformed-data');
  });

  it('may not hold a number that is infinite once it is read', () => {
    expect(
      reasonOf(JSON.stringify(withData({ signal: 'flow', value: 7, unit: 'gpm' })).replace(':7,', ':1e999,')),
    ).toBe('malformed-data');
  });

  it('is not reached through the prototype', () => {
    expect(reasonOf(JSON.stringify(example).replace('"signal"', '"__proto__":{},"signal"'))).toBe('malformed-data');
    expect(reasonOf(JSON.stringify(example).replace('"id"', '"__proto__":{},"id"'))).toBe('not-a-cloud-event');
  });
});

describe('a payload that names another', () => {
  it.each([
    '/other/panel-2',
    '/',
    '//quayside-cold-store/panel-2',
    '/quayside-cold-store-2',
    'https://quayside-cold-store/',
    'urn:quayside-cold-store:panel-2',
  ])('account, in source %s, is refused', (source) => {
    const { reason, detail } = rejectionOf(receive({ ...example, source }));

    expect(reason).toBe('wrong-account');
    expect(detail).toContain('"quayside-cold-store"');
  });

  it.each([
    '/quayside-cold-store',
    '/quayside-cold-store/',
    'quayside-cold-store/panel-2',
    '/quayside-cold-store/a/b?c#d',
  ])('source of the account, %s, is taken', (source) => {
    expect(signalOf(receive({ ...example, source })).source).toBe(source);
  });

  it('riser, in subject, is refused', () => {
    expect(rejectionOf(receive({ ...example, subject: 'deluge-2' }))).toEqual({
      reason: 'wrong-riser',
      detail: 'At subject: expected the riser "deluge-1", found "deluge-2".',
      key,
    });
  });
});

describe('a topic', () => {
  const on = (topic: string) =>
    rejectionOf(
      decode(
        { topic, payload: new TextEncoder().encode(JSON.stringify(example)), receivedAt },
        { prefix: 'risers/v1', installed: () => undefined },
      ),
    );

  it.each([
    ['elsewhere/a/b/signal', 'foreign-topic', undefined],
    ['risers/v1/A/b/signal', 'foreign-topic', undefined],
    ['risers/v1/a/b/sign', 'foreign-topic', undefined],
    ['risers/v1/a/b/state', 'wrong-channel', { account: 'a', riser: 'b' }],
    ['risers/v1/a/b/contact', 'wrong-channel', { account: 'a', riser: 'b' }],
    ['risers/v1/a/b/signal', 'unknown-riser', { account: 'a', riser: 'b' }],
  ])('%s is refused as %s', (topic, reason, named) => {
    const rejection = on(topic);

    expect({ reason: rejection.reason, key: rejection.key }).toEqual({ reason, key: named });
  });
});

describe('a link message', () => {
  const link = (payload: unknown, contentType?: string) =>
    receive(payload, { channel: 'link', ...(contentType === undefined ? {} : { contentType }) });

  it('says up or down, with session and time where it has them', () => {
    expect(link({ link: 'up', session: 's-7', time: '2026-03-02T09:14:07+01:00' })).toEqual({
      ok: true,
      value: { type: 'link', key, link: 'up', session: 's-7', time: Date.UTC(2026, 2, 2, 8, 14, 7) },
    });
    expect(link({ link: 'down', reason: 'last will' }, 'application/json')).toEqual({
      ok: true,
      value: { type: 'link', key, link: 'down' },
    });
  });

  it.each([
    [{ link: 'Up' }, 'malformed-link', 'At link: expected "up" or "down".'],
    [{}, 'malformed-link', 'At link: expected "up" or "down".'],
    [
      { link: 'up', time: 'now' },
      'malformed-link',
      'At time: expected an RFC 3339 time with offset such as "2026-03-02T08:14:07.120Z".',
    ],
    [{ link: 'up', session: 7 }, 'malformed-link', 'At session: expected string, found number.'],
    ['[]', 'malformed-link', 'Expected object, found array.'],
    ['up', 'not-json', 'The payload is not JSON text (RFC 8259); expected one JSON object.'],
    ['', 'empty-payload', 'The payload is empty; expected a signal or a link message.'],
  ])('%j is refused as %s: %s', (payload, reason, detail) => {
    expect(rejectionOf(link(payload))).toEqual({ reason, detail, key });
  });

  it('has no Contact ID form', () => {
    expect(rejectionOf(link('1234 18 1113 01 003 1', 'application/vnd.contact-id')).reason).toBe(
      'unsupported-content-type',
    );
  });
});
