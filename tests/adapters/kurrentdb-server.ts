import { randomUUID } from 'node:crypto';
import { onTestFinished } from 'vitest';
import { instant, invariant, seededRandom } from '@tidemark/kernel';
import { describeJournal } from '@tidemark/journal/contract';
import { KurrentDbJournal } from '@tidemark/journal-kurrentdb';
import { WireDoor } from '../support/kurrentdb-double/wire-door.ts';
import { describeWireDrills } from '../support/kurrentdb-wire-drills.ts';

/**
 * The contract, and the drills that need nothing but the wire, against a server or cluster that someone runs. Started by
 * `npm run test:kurrentdb -- URL`; not part of `npm test`. Each test takes a namespace that nobody used and leaves its
 * streams behind.
 */
const url = process.env['TIDEMARK_KURRENTDB_URL'] ?? '';
invariant(url !== '', 'the address of a server is given: npm run test:kurrentdb -- kurrentdb://…');

await assertAnswered();

/** One clear failure instead of one for every test. The address may hold a password and is not told. */
async function assertAnswered(): Promise<void> {
  const journal = KurrentDbJournal.open({ url, clock: () => instant(Date.now()), random: seededRandom(1) });
  try {
    await journal.head();
  } catch (cause) {
    throw new Error('no KurrentDB server that lets this user read $all answers at the address given', { cause });
  } finally {
    await journal.close();
  }
}

const freshNamespace = (): string => `test${randomUUID().replaceAll('-', '')}`;

describeJournal('KurrentDbJournal against a server', () => {
  const namespace = freshNamespace();
  const clock = (): ReturnType<typeof instant> => instant(Date.now());
  const open = (): KurrentDbJournal => KurrentDbJournal.open({ url, namespace, clock, random: seededRandom(1) });
  return Promise.resolve({ journal: open(), reopen: () => Promise.resolve(open()) });
});

// Several nodes tell their own addresses, which lead past any door of ours; and no certificate is made out to it.
const oneNode =
  /^(?:kurrentdb|kurrent|kdb|esdb):\/\/(?:[^@/?]*@)?([^,:/?]+)(?::([0-9]+))?\/?\?(?:.*&)?tls=false(?:&|$)/i.exec(url);

if (oneNode !== null)
  describeWireDrills('a server', async () => {
    const door = await WireDoor.before({ host: oneNode[1] ?? 'localhost', port: Number(oneNode[2] ?? 2113) });
    onTestFinished(() => door.shut());
    const throughDoor = `kurrentdb://127.0.0.1:${door.port}?tls=false`;
    return { url: throughDoor, door, directUrl: url, namespace: freshNamespace() };
  });
