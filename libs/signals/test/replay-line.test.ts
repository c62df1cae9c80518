import { formatInstant } from '@tidemark/kernel';
import { readReplayLine, recordingLine } from '@tidemark/signals';
import type { Message, ReplayOptions } from '@tidemark/signals';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { example, installed, receive, receivedAt, signalOf } from './message.ts';
import { key } from './signal-arbitrary.ts';

const options: ReplayOptions = {
  prefix: 'risers/v1',
  key,
  installed: (asked) => (asked.riser === key.riser ? installed : undefined),
};
const read = (line: unknown) => readReplayLine(typeof line === 'string' ? line : JSON.stringify(line), options);
const reasonOf = (line: unknown) => {
  const entry = read(line);
  return entry.ok ? entry.value.type : entry.failure.reason;
};

const command = {
  specversion: '1.0',
  id: 'c-1',
  source: '/station',
  type: 'riser.command.v1',
  subject: 'deluge-1',
  time: '2026-03-02T08:00:00Z',
};
const link = {
  ...command,
  id: 'l-1',
  source: '/quayside-cold-store/panel-2',
  type: 'riser.link.v1',
  data: { link: 'down' },
};

describe('a signal’s line', () => {
  it('was received at its receivedtime', () => {
    expect(read({ ...example, receivedtime: '2026-03-02T08:14:09Z' })).toEqual({
      ok: true,
      value: { type: 'signal', signal: signalOf(receive(example)), receivedAt: Date.UTC(2026, 2, 2, 8, 14, 9) },
    });
  });

  it('without one was received when it happened', () => {
    expect(read(example)).toMatchObject({ ok: true, value: { receivedAt: Date.UTC(2026, 2, 2, 8, 14, 7, 120) } });
  });

  it.each([
    [{ ...example, time: undefined }, 'no-receipt-time'],
    [{ ...example, receivedtime: 'soon' }, 'not-a-cloud-event'],
    [{ ...example, subject: undefined }, 'wrong-riser'],
    [{ ...example, subject: 'deluge-2' }, 'wrong-riser'],
    [{ ...example, source: '/elsewhere/panel' }, 'wrong-account'],
    [{ ...example, data: { signal: 'heat' } }, 'malformed-data'],
    [{ ...example, type: 'riser.signal.v2' }, 'unsupported-type'],
    ['', 'not-json'],
    ['[]', 'not-a-cloud-event'],
    ['null', 'not-a-cloud-event'],
    [`"${'x'.repeat(131_072)}"`, 'too-large'],
  ])('%j is refused as %s', (line, reason) => {
    expect(reasonOf(line)).toBe(reason);
  });
});

describe('a link’s line', () => {
  it('says what its data says', () => {
    expect(read({ ...link, data: { link: 'up', session: 's-2', time: '2026-03-02T07:59:59Z' } })).toEqual({
      ok: true,
      value: {
        type: 'link',
        key,
        link: 'up',
        session: 's-2',
        time: Date.UTC(2026, 2, 2, 7, 59, 59),
        receivedAt: Date.UTC(2026, 2, 2, 8),
      },
    });
  });

  it.each([
    [{ ...link, data: { link: 'gone' } }, 'malformed-link'],
    [{ ...link, source: '/elsewhere' }, 'wrong-account'],
    [{ ...link, subject: 'deluge-2' }, 'wrong-riser'],
  ])('%j is refused as %s', (line, reason) => {
    expect(reasonOf(line)).toBe(reason);
  });
});

describe('a command’s line', () => {
  it.each([
    [
      { command: 'test-begin', forSeconds: 900, expect: ['waterflow'] },
      { command: 'test-begin', forSeconds: 900, expect: ['waterflow'] },
    ],
    [
      { command: 'test-begin', forSeconds: 900 },
      { command: 'test-begin', forSeconds: 900, expect: [] },
    ],
    [{ command: 'test-end' }, { command: 'test-end' }],
    [
      { command: 'impairment-begin', kind: 'planned', reason: 'nozzles' },
      { command: 'impairment-begin', kind: 'planned', reason: 'nozzles' },
    ],
    [{ command: 'impairment-end' }, { command: 'impairment-end' }],
    [
      { command: 'acknowledge', finding: 'chattering' },
      { command: 'acknowledge', finding: 'chattering' },
    ],
    [
      { command: 'confirm', step: 'drains-closed' },
      { command: 'confirm', step: 'drains-closed' },
    ],
  ])('%j is read', (data, expected) => {
    expect(read({ ...command, data })).toEqual({
      ok: true,
      value: { type: 'command', key, id: 'c-1', command: expected, receivedAt: Date.UTC(2026, 2, 2, 8) },
    });
  });

  it.each([
    { command: 'open-valve' },
    { command: 'test-begin' },
    { command: 'test-begin', forSeconds: 0 },
    { command: 'test-begin', forSeconds: 2_592_001 },
    { command: 'test-begin', forSeconds: 60, expect: ['water'] },
    { command: 'impairment-begin', kind: 'other' },
    { command: 'acknowledge' },
    { command: 'acknowledge', finding: '' },
    { command: 'confirm' },
    {},
    undefined,
  ])('%j is refused', (data) => {
    expect(reasonOf({ ...command, data })).toBe('malformed-command');
  });

  it('of another riser is refused', () => {
    expect(reasonOf({ ...command, subject: 'deluge-2', data: { command: 'test-end' } })).toBe('wrong-riser');
  });
});

describe('a recording’s line', () => {
  const recorded = { topic: 'risers/v1/quayside-cold-store/deluge-1/signal', receivedtime: formatInstant(receivedAt) };

  it.each([
    ['text', { payload: JSON.stringify(example) }],
    ['an object', { payload: example }],
    ['base64', { payloadBase64: Buffer.from(JSON.stringify(example)).toString('base64') }],
    [
      'base64, which wins over text',
      { payload: 'x', payloadBase64: Buffer.from(JSON.stringify(example)).toString('base64') },
    ],
  ])('holds a payload as %s', (_how, payload) => {
    expect(read({ ...recorded, ...payload })).toEqual({
      ok: true,
      value: { type: 'signal', signal: signalOf(receive(example)), receivedAt },
    });
  });

  it('holds Contact ID', () => {
    const line = { ...recorded, contentType: 'application/vnd.contact-id', payload: '1234 18 1113 01 003 1' };

    expect(read(line)).toEqual({
      ok: true,
      value: { type: 'signal', signal: signalOf(receive('1234 18 1113 01 003 1')), receivedAt },
    });
  });

  it.each([
    [{ ...recorded }, 'malformed-recording'],
    [{ ...recorded, payload: 7 }, 'malformed-recording'],
    [{ ...recorded, payloadBase64: '*' }, 'malformed-recording'],
    [{ topic: recorded.topic, payload: 'x' }, 'malformed-recording'],
    [{ ...recorded, topic: 7, payload: 'x' }, 'malformed-recording'],
    [{ ...recorded, topic: 'elsewhere', payload: example }, 'foreign-topic'],
    [{ ...recorded, topic: 'risers/v1/quayside-cold-store/deluge-2/signal', payload: example }, 'unknown-riser'],
    [{ ...recorded, payload: 'x' }, 'not-json'],
    [{ ...recorded, payload: '' }, 'empty-payload'],
    [{ ...recorded, payloadBase64: '/w==' }, 'not-utf8'],
  ])('%j is refused as %s', (line, reason) => {
    expect(reasonOf(line)).toBe(reason);
  });

  it('brings back any bytes, so that what live refused is refused again for the same reason', () => {
    const messages = fc.record({
      topic: fc.constant(recorded.topic),
      payload: fc.oneof(
        fc.uint8Array({ maxLength: 50 }),
        fc.json().map((text) => new TextEncoder().encode(text)),
        fc.constant(Uint8Array.of(0xef, 0xbb, 0xbf)),
      ),
      receivedAt: fc.constant(receivedAt),
    });

    fc.assert(
      fc.property(messages, (message: Message) => {
        const live = receive(message.payload);
        const replayed = read(recordingLine(message));

        expect(replayed).toEqual(live.ok ? { ok: true, value: { ...live.value, receivedAt } } : live);
      }),
      { seed: 5, numRuns: 500 },
    );
  });
});
