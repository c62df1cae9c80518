import { instant } from '@tidemark/kernel';
import type { Decoded, Installed, Rejection } from '@tidemark/signals';
import { decode } from '@tidemark/signals';
import { key } from './signal-arbitrary.ts';

/** The riser of the contract's example profile (CONTRACT 3). */
export const installed: Installed = {
  contactIdAccount: '1234',
  points: [
    { point: 1, signal: 'manual-pull' },
    { point: 2, signal: 'heat' },
    { point: 3, signal: 'waterflow' },
    { point: 4, signal: 'supply-valve' },
    { point: 5, signal: 'prime-pressure-low' },
    { point: 6, signal: 'solenoid' },
    { point: 7, signal: 'release-disconnect' },
  ],
};

/** The contract's example of a signal (CONTRACT 2). */
export const example = {
  specversion: '1.0',
  id: '7f0c',
  source: '/quayside-cold-store/panel-2',
  type: 'riser.signal.v1',
  subject: 'deluge-1',
  time: '2026-03-02T08:14:07.120Z',
  sequence: '0000001842',
  data: { signal: 'waterflow', state: 'active', point: 3, text: 'optional, at most 200 characters' },
};

/** When every message of these tests arrives. */
export const receivedAt = instant(Date.UTC(2026, 2, 2, 8, 14, 8));

interface Sent {
  readonly channel?: string;
  readonly contentType?: string;
  readonly installed?: Installed;
}

/** Decodes a payload that came on the riser's topic: bytes as they are, text as UTF-8, anything else as JSON. */
export function receive(payload: unknown, { channel = 'signal', contentType, installed: own = installed }: Sent = {}) {
  const text = typeof payload === 'string' ? payload : JSON.stringify(payload);
  const bytes = payload instanceof Uint8Array ? payload : new TextEncoder().encode(text);
  return decode(
    {
      topic: `risers/v1/${key.account}/${key.riser}/${channel}`,
      payload: bytes,
      receivedAt,
      ...(contentType === undefined ? {} : { contentType }),
    },
    { prefix: 'risers/v1', installed: (asked) => (asked.riser === key.riser ? own : undefined) },
  );
}

/** The signal of a message that must be one. */
export function signalOf(result: ReturnType<typeof receive>) {
  if (!result.ok) throw new Error(`expected a signal, got ${result.failure.reason}: ${result.failure.detail}`);
  if (result.value.type !== 'signal') throw new Error('expected a signal, got a link message');
  return result.value.signal;
}

/** The rejection of a message that must be one. */
export function rejectionOf(
  result: { readonly ok: true; readonly value: Decoded } | { readonly ok: false; readonly failure: Rejection },
): Rejection {
  if (result.ok) throw new Error(`expected a rejection, got a ${result.value.type}`);
  return result.failure;
}
