import { describe, expect, it } from 'vitest';
import { toldLines } from '../src/index.ts';
import { readStory } from './story.ts';

const riser = { account: 'quayside-cold-store', riser: 'deluge-1' };
const linesOf = (...parts: Parameters<typeof readStory>) =>
  toldLines(readStory(...parts), riser).map(({ json }) => json);

describe('the lines that tell a story', () => {
  it('say a signal as a CloudEvent with the panel’s clock and the time of receipt', () => {
    const lines = linesOf({
      panel: '{ name: panel-2, delay: 200ms, clock: -3s }',
      heard: ['{ at: 30m, active: manual-pull, point: 1, text: "Dock" }'],
    });

    expect(lines).toEqual([
      {
        specversion: '1.0',
        id: 'step-1',
        source: '/quayside-cold-store/panel-2',
        type: 'riser.signal.v1',
        subject: 'deluge-1',
        time: '2026-03-02T08:29:57.000Z',
        receivedtime: '2026-03-02T08:30:00.200Z',
        data: { signal: 'manual-pull', state: 'active', point: 1, text: 'Dock' },
      },
    ]);
  });

  it('say acts, readings, commands and link messages as the contract writes them', () => {
    const lines = linesOf({
      heard: [
        '{ at: 1s, performed: reset }',
        '{ at: 2s, reading: flow, value: 867 gpm }',
        '{ at: 3s, command: test-begin, forSeconds: 1800, expect: [waterflow] }',
        '{ at: 4s, link: up, session: noon }',
      ],
    });

    expect(lines.map(({ type, source, data }) => [type, source, data])).toEqual([
      ['riser.signal.v1', '/quayside-cold-store/panel-1', { signal: 'reset', state: 'performed' }],
      ['riser.signal.v1', '/quayside-cold-store/panel-1', { signal: 'flow', value: 867, unit: 'gpm' }],
      ['riser.command.v1', '/station', { command: 'test-begin', forSeconds: 1800, expect: ['waterflow'] }],
      [
        'riser.link.v1',
        '/quayside-cold-store/panel-1',
        { link: 'up', session: 'noon', time: '2026-03-02T08:00:04.000Z' },
      ],
    ]);
  });

  it('say what is no CloudEvent as a recording of what arrived', () => {
    const topic = 'risers/v1/quayside-cold-store/deluge-1/signal';

    const lines = linesOf({
      heard: ['{ at: 1s, contactId: 1234 18 1113 01 003 1 }', '{ at: 2s, payload: "{" }', '{ at: 3s, bytes: /v8A }'],
    });

    expect(lines).toEqual([
      {
        topic,
        receivedtime: '2026-03-02T08:00:01.000Z',
        payload: '1234 18 1113 01 003 1',
        contentType: 'application/vnd.contact-id',
      },
      { topic, receivedtime: '2026-03-02T08:00:02.000Z', payload: '{', contentType: 'application/cloudevents+json' },
      {
        topic,
        receivedtime: '2026-03-02T08:00:03.000Z',
        payloadBase64: '/v8A',
        contentType: 'application/cloudevents+json',
      },
    ]);
  });

  it('stand in the order of receipt, which a delay changes and a panel’s clock does not', () => {
    const lines = linesOf({
      heard: [
        '{ at: 1s, active: heat, delay: 5s }',
        '{ at: 2s, active: smoke, clock: +1h }',
        '{ at: 3s, active: flame }',
      ],
    });

    expect(lines.map(({ id }) => id)).toEqual(['step-2', 'step-3', 'step-1']);
  });

  it('use up the number of a lost signal, and say the same message again with its own identity', () => {
    const lines = linesOf({
      panel: '{ sequence: true }',
      heard: [
        '{ at: 1s, active: heat }',
        '{ at: 2s, restored: heat, lost: true }',
        '{ at: 3s, performed: reset, again: [10s] }',
      ],
    });

    expect(lines.map(({ id, sequence, receivedtime }) => [id, sequence, receivedtime])).toEqual([
      ['step-1', '0000000001', '2026-03-02T08:00:01.000Z'],
      ['step-3', '0000000003', '2026-03-02T08:00:03.000Z'],
      ['step-3', '0000000003', '2026-03-02T08:00:13.000Z'],
    ]);
  });
});
