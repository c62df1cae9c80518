import { writeSync } from 'node:fs';
import { instant, seededRandom } from '@tidemark/kernel';
import { deriveEventId, streamName } from '@tidemark/journal';
import { KurrentDbJournal } from '@tidemark/journal-kurrentdb';

/**
 * The process that kurrentdb-crash.test.ts kills: it records the numbers from `first` on, some at a time and for ever,
 * and writes a number to standard output only once the journal has promised to keep it. Arguments: url, first, seed.
 */
const [url = '', first = '0', seed = '0'] = process.argv.slice(2);
const random = seededRandom(Number(seed));
const journal = KurrentDbJournal.open({ url, namespace: 'crash', clock: () => instant(Date.now()), random });

/** Two streams, so that a number and its successor are under way at once. */
async function record(number: number): Promise<void> {
  const { ok } = await journal.append({
    stream: streamName('riser', 'quayside-cold-store', `deluge-${number % 2}`),
    events: [{ id: deriveEventId(['crash', String(number)]), type: 'reading-observed', data: { number } }],
    expected: 'any',
  });
  // Written at once: what a dying process still holds in a buffer would look like a promise not made.
  if (ok) writeSync(1, `${number}\n`);
}

for (let number = Number(first); ;) {
  const count = random.between(1, 12);
  await Promise.all(Array.from({ length: count }, (_, index) => record(number + index)));
  number += count;
}
