import { instant } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { playedMessage } from '../src/play/played-message.ts';
import type { Playing } from '../src/play/played-message.ts';

const at = (text: string): Instant => instant(Date.parse(text));

const playing: Playing = {
  prefix: 'risers/v1',
  recordedFrom: at('2026-03-02T08:00:00Z'),
  sentFrom: at('2026-11-25T12:00:00Z'),
  speed: 10,
  run: '7f0c',
};

const signal = {
  specversion: '1.0',
  id: 'a1',
  source: '/quayside-cold-store/panel-2',
  type: 'riser.signal.v1',
  subject: 'deluge-1',
  time: '2026-03-02T08:00:59Z',
  data: { signal: 'waterflow', state: 'active' },
};
const topic = 'risers/v1/quayside-cold-store/deluge-1/signal';

const sent = (line: object, change: Partial<Playing> = {}) => {
  const played = playedMessage(JSON.stringify(line), { ...playing, ...change });
  if (played.type === 'skipped') return played.why;
  const { payload, ...rest } = played.message;
  return { ...rest, payload: typeof payload === 'string' ? (JSON.parse(payload) as unknown) : payload };
};

describe('a line played live', () => {
  it('is sent with its interval divided by the speed, counted from now, and an id of this run', () => {
    expect(sent({ ...signal, receivedtime: '2026-03-02T08:01:00Z' })).toEqual({
      topic,
      contentType: 'application/cloudevents+json',
      payload: { ...signal, id: 'a1~7f0c', time: '2026-11-25T12:00:05.900Z' },
    });
  });

  it('keeps its id when told to, and takes its receipt for a time it does not have', () => {
    const timeless = { ...signal, time: undefined };

    expect(sent({ ...timeless, receivedtime: '2026-03-02T08:01:00Z' }, { run: undefined })).toMatchObject({
      payload: { id: 'a1', time: '2026-11-25T12:00:06.000Z' },
    });
  });

  it('gives a repeat of the log the same id as its first, so that it stays a repeat', () => {
    expect(sent(signal)).toEqual(sent({ ...signal, receivedtime: '2026-03-02T08:05:00Z' }));
  });

  it('goes to the link topic, retained and with a session of this run, when it is a link message', () => {
    const data = { link: 'up', session: 'noon', time: '2026-03-02T08:00:00Z' };

    expect(sent({ ...signal, type: 'riser.link.v1', data })).toEqual({
      topic: 'risers/v1/quayside-cold-store/deluge-1/link',
      retain: true,
      payload: { link: 'up', session: 'noon~7f0c', time: '2026-11-25T12:00:00.000Z' },
    });
  });

  it('is renewed in the same way when it is a recording of a CloudEvent', () => {
    const recording = { topic, receivedtime: '2026-03-02T08:01:00Z', contentType: 'application/json' };

    expect(sent({ ...recording, payload: JSON.stringify(signal) })).toEqual({
      topic,
      contentType: 'application/json',
      payload: { ...signal, id: 'a1~7f0c', time: '2026-11-25T12:00:05.900Z' },
    });
    expect(sent({ ...recording, payload: signal })).toMatchObject({ payload: { id: 'a1~7f0c' } });
  });

  it('is sent byte for byte when it is a recording of anything else', () => {
    const recording = { topic, receivedtime: '2026-03-02T08:01:00Z' };
    const broken = playedMessage(JSON.stringify({ ...recording, payload: '{"id":' }), playing);
    const bytes = playedMessage(JSON.stringify({ ...recording, payloadBase64: '/v8A' }), playing);

    expect(broken).toEqual({ type: 'message', message: { topic, payload: '{"id":' } });
    expect(bytes).toEqual({ type: 'message', message: { topic, payload: Buffer.from([0xfe, 0xff, 0x00]) } });
  });

  it('is left out when it is a station command, or says for no riser what it is', () => {
    expect(sent({ ...signal, type: 'riser.command.v1' })).toBe('command');
    expect(sent({ ...signal, subject: 'Deluge 1' })).toBe('unreadable');
    expect(sent([signal])).toBe('unreadable');
    expect(playedMessage('tide', playing)).toEqual({ type: 'skipped', why: 'unreadable' });
  });
});
