import { writeSync } from 'node:fs';
import { seededRandom } from '@tidemark/kernel';
import { instant } from '@tidemark/kernel';
import type { Append } from '@tidemark/journal';
import { deriveEventId, streamName } from '@tidemark/journal';
import { SqliteJournal } from '@tidemark/journal-sqlite';

/**
 * The process that journal-sqlite-crash.test.ts kills: it appends for ever, several appends at a time, and writes the
 * name of an event to standard output only once the journal has promised to keep it. Arguments: path, run, seed.
 */
const [path = '', run = '', seed = '0'] = process.argv.slice(2);
const random = seededRandom(Number(seed));
const journal = SqliteJournal.open({ path, clock: () => instant(Date.now()) });

/** Written at once: what a dying process still holds in a buffer would look like a promise not made. */
const promise = (names: readonly string[]): void => {
  writeSync(1, names.map((name) => `${name}\n`).join(''));
};

const appendOf = (names: readonly string[]): Append => ({
  stream: streamName('riser', 'quayside-cold-store', `deluge-${random.between(1, 3)}`),
  events: names.map((name) => ({
    id: deriveEventId(['crash', name]),
    type: 'reading-observed',
    data: { name, text: 'x'.repeat(random.between(0, 3_000)) },
  })),
  expected: 'any',
});

async function write(writer: number): Promise<never> {
  for (let number = 0; ; number += 1) {
    const names = Array.from({ length: random.between(1, 5) }, (_, index) => `${run}-${writer}-${number}-${index}`);
    const { ok } = await journal.append(appendOf(names));
    if (ok) promise(names);
  }
}

await Promise.all([0, 1, 2, 3, 4, 5, 6, 7].map(write));
