import { describe, expect, it } from 'vitest';
import { instant } from '@tidemark/kernel';
import type { RiserCommand, RiserEvent } from '@tidemark/riser';
import { decodeRiserEvent, encodeRiserEvent } from '@tidemark/riser';

const receivedAt = instant(Date.UTC(2026, 2, 2, 8, 14, 7, 320));

const commands: readonly RiserCommand[] = [
  { command: 'acknowledge', finding: 'stale-link' },
  { command: 'acknowledge', alert: 'quayside-cold-store/deluge-1/heat/2/1772439247320' },
  { command: 'shelve', finding: 'clock-skew', forSeconds: 1_800, reason: 'The panel is being set' },
  { command: 'unshelve', finding: 'clock-skew' },
  { command: 'check-answered', check: 'coil-voltage', found: 'absent' },
  { command: 'note', text: 'The caretaker hears the water motor' },
  { command: 'call-recorded', to: 'subscriber', outcome: 'not-reached', person: 'Duty officer', note: 'No answer' },
  { command: 'dispatch-recorded', unit: 'runner', stage: 'arrived', reference: 'R-17' },
];

const events: readonly RiserEvent[] = [
  {
    type: 'signal-received',
    id: 'e1',
    receivedAt,
    observedAt: instant(receivedAt - 200),
    source: '/quayside-cold-store/panel-2',
    sequence: 1_842n,
    point: 3,
    text: 'loading dock',
    content: { kind: 'contact', name: 'waterflow', state: 'active' },
  },
  { type: 'signal-received', id: 'e2', receivedAt, source: 's', content: { kind: 'act', name: 'reset' } },
  {
    type: 'signal-received',
    id: 'e3',
    receivedAt,
    source: 's',
    content: { kind: 'periodic-test', name: 'periodic-test' },
  },
  {
    type: 'signal-received',
    id: 'e4',
    receivedAt,
    source: 's',
    content: { kind: 'reading', name: 'supply-pressure', si: 689_475.7, value: 100, unit: 'psi' },
  },
  { type: 'signal-repeated', id: 'e5', receivedAt, source: 's' },
  { type: 'link-reported', id: 'e6', receivedAt, link: 'down', session: 'morning' },
  {
    type: 'command-given',
    id: 'e7',
    receivedAt,
    by: 'M.',
    command: { command: 'test-begin', forSeconds: 600, expect: ['waterflow'] },
  },
  { type: 'command-given', id: 'e8', receivedAt, by: 'M.', command: { command: 'confirm', step: 'drains-closed' } },
  { type: 'time-reached', id: 'e9', receivedAt },
  ...commands.map((command, index): RiserEvent => ({
    type: 'command-given',
    id: `c${index}`,
    receivedAt,
    by: 'M.',
    command,
  })),
];

describe('a riser event', () => {
  it.each(events)('$id comes back from the journal as it went in', (event) => {
    const stored: unknown = JSON.parse(JSON.stringify(encodeRiserEvent(event)));

    expect(decodeRiserEvent({ ...(stored as ReturnType<typeof encodeRiserEvent>), id: event.id })).toEqual({
      ok: true,
      value: event,
    });
  });

  it.each([
    ['of a type this build does not know', { type: 'valve-painted', data: {} }],
    ['without a time', { type: 'time-reached', data: {} }],
    ['with a time that is none', { type: 'time-reached', data: { receivedAt: 'yesterday' } }],
  ])('%s is refused, with the reason', (_name, recorded) => {
    expect(decodeRiserEvent({ id: 'x', ...recorded })).toEqual({
      ok: false,
      failure: expect.stringContaining(recorded.type),
    });
  });
});
