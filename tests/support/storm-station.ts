import { EmbeddedBroker, Ingest, Intake } from '@tidemark/ingest';
import type { Arrival, Verdict } from '@tidemark/ingest';
import { SqliteJournal } from '@tidemark/journal-sqlite';
import { seededRandom } from '@tidemark/kernel';
import { AcknowledgedSource } from '@tidemark/mqtt';
import { defaultPrefix, filterOf } from '@tidemark/signals';
import { externalOptions, startIngest } from './ingest-external.ts';
import { installed, systemClock } from './ingest-fixtures.ts';

/**
 * The process that the storm kills: broker, ingest and journal in one. The parent forks it with the door and its port,
 * the journal's file, and whether it is the real thing or one of the two canaries, which acknowledge first and commit
 * later: the storm must catch them.
 */
const [door, portText, path, variant] = process.argv.slice(2);
const port = Number(portText);
const journal = SqliteJournal.open({ path: path ?? '', clock: systemClock, writer: 'own-thread' });
const intakeOptions = { journal, now: systemClock, random: seededRandom(1), prefix: defaultPrefix, installed };

/** How long a canary waits before it commits what it has acknowledged. */
const canaryDelay_ms = 20;

async function commitLater(later: Arrival[], intake: Intake): Promise<never> {
  for (;;) {
    await new Promise((resolve) => setTimeout(resolve, canaryDelay_ms));
    const group = later.splice(0, 1_000);
    if (group.length > 0) await intake.admit(group);
  }
}

async function openCanary(): Promise<void> {
  const later: Arrival[] = [];
  void commitLater(later, new Intake(intakeOptions));
  if (door === 'embedded') {
    const admit = (arrival: Arrival): Promise<Verdict> => {
      later.push(arrival);
      return Promise.resolve({ type: 'recorded' });
    };
    await EmbeddedBroker.open({ port, prefix: defaultPrefix, now: systemClock, admit });
    return;
  }
  const { external } = externalOptions(port, journal);
  if (external === undefined) throw new Error('the canary needs a broker');
  const filters = [filterOf(defaultPrefix, 'signal')];
  const source = new AcknowledgedSource({ ...external, filters, now: systemClock, random: seededRandom(1) });
  void (async () => {
    for await (const { messages, acknowledge } of source.batches()) {
      acknowledge();
      later.push(...messages);
    }
  })();
}

async function openIngest(): Promise<void> {
  if (door === 'embedded') await Ingest.open({ ...intakeOptions, embedded: { port } });
  else await startIngest(port, journal);
}

await (variant === 'canary' ? openCanary() : openIngest());
process.send?.('ready');
