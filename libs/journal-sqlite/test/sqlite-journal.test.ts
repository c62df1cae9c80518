import { canonicalJson } from '@tidemark/kernel';
import { describeJournal } from '@tidemark/journal/contract';
import type { SqliteJournalOptions } from '../src/sqlite-journal.ts';
import { SqliteJournal } from '../src/sqlite-journal.ts';
import { alter, journalPath, tickingClock } from './support.ts';

function describeWriter(name: string, writer: NonNullable<SqliteJournalOptions['writer']>): void {
  describeJournal(name, () => {
    const path = journalPath();
    const clock = tickingClock();
    const open = (): SqliteJournal => SqliteJournal.open({ path, clock, writer });
    return Promise.resolve({
      journal: open(),
      reopen: () => Promise.resolve(open()),
      tamper: ({ position }, data) => {
        alter(path, 'UPDATE events SET data = ? WHERE position = ?', canonicalJson(data), position);
        return Promise.resolve();
      },
    });
  });
}

describeWriter('SqliteJournal', 'this-thread');
describeWriter('SqliteJournal that writes on a thread of its own', 'own-thread');
