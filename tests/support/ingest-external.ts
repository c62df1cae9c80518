import { Ingest } from '@tidemark/ingest';
import type { IngestOptions } from '@tidemark/ingest';
import type { Journal } from '@tidemark/journal';
import { seededRandom } from '@tidemark/kernel';
import { defaultPrefix } from '@tidemark/signals';
import { installed, systemClock } from './ingest-fixtures.ts';
import { until } from './until.ts';

/** Ingest with an external broker on this port, always under the same client id, back quickly when it is cut off. */
export const externalOptions = (port: number, journal: Journal): IngestOptions => ({
  journal,
  now: systemClock,
  random: seededRandom(1),
  prefix: defaultPrefix,
  installed,
  external: {
    broker: { host: '127.0.0.1', port },
    clientId: 'station',
    backoff: { first_ms: 20, longest_ms: 200 },
  },
});

/** Starts it and waits until the broker has granted its subscriptions. */
export async function startIngest(port: number, journal: Journal): Promise<Ingest> {
  const ingest = await Ingest.open(externalOptions(port, journal));
  let live = false;
  const watch = ingest.health.subscribe(({ ok }) => (live = ok));
  await until('ingest is live', () => live);
  watch.unsubscribe();
  return ingest;
}
