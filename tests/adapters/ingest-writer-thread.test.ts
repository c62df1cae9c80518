import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Worker } from 'node:worker_threads';
import { Intake } from '@tidemark/ingest';
import type { JournalHealth } from '@tidemark/ingest';
import { SqliteJournal } from '@tidemark/journal-sqlite';
import { seededRandom } from '@tidemark/kernel';
import { defaultPrefix } from '@tidemark/signals';
import { expect, it, onTestFinished } from 'vitest';
import { installed, signalIds, signalTopic, systemClock, waterflow } from '../support/ingest-fixtures.ts';

it('answers for nothing that is not in the journal, though the thread that writes it is killed again and again', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'tidemark-ingest-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const threads: Worker[] = [];
  const hear = (thread: Worker): void => void threads.push(thread);
  process.on('worker', hear);
  onTestFinished(() => void process.off('worker', hear));
  const path = join(folder, 'journal.sqlite');
  const journal = SqliteJournal.open({ path, clock: systemClock, writer: 'own-thread' });
  const random = seededRandom(11);
  const intake = new Intake({
    journal,
    now: systemClock,
    random,
    backoff: { first_ms: 1, longest_ms: 5 },
    prefix: defaultPrefix,
    installed,
  });
  const told: JournalHealth[] = [];
  intake.health.subscribe((health) => told.push(health));
  const answered: string[] = [];
  const admitted: Promise<void>[] = [];

  for (let group = 0; group < 60; group += 1) {
    const ids = Array.from({ length: 20 }, (_, number) => `${String(group)}-${String(number)}`);
    const arrivals = ids.map((id) => ({
      topic: signalTopic,
      payload: Buffer.from(waterflow(id)),
      receivedAt: systemClock(),
      omitted_bytes: 0,
    }));
    const answer = intake.admit(arrivals).then(async () => {
      answered.push(...ids);
      // What is answered for is on the disk by then: whoever looks finds it.
      if (group % 10 === 0) expect(await signalIds(journal)).toEqual(expect.arrayContaining(ids));
    });
    admitted.push(answer);
    if (random.next() < 0.15) await threads.at(-1)?.terminate();
    if (random.next() < 0.3) await answer;
  }
  await Promise.all(admitted);

  expect(told.some((health) => health.state === 'refusing' && /thread that writes/.test(health.lastError))).toBe(true);
  expect(told.at(-1)).toEqual({ state: 'recording' });
  expect(await signalIds(journal)).toEqual(answered);
  expect(await journal.verify()).toMatchObject({ ok: true });
  intake.close();
  await journal.close();
});
