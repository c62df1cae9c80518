import { canonicalJson } from '@tidemark/kernel';
import { describeJournal } from '@tidemark/journal/contract';
import { SqliteJournal } from '../src/sqlite-journal.ts';
import { alter, journalPath, tickingClock } from './support.ts';

describeJournal('SqliteJournal', () => {
  const path = journalPath();
  const clock = tickingClock();
  const open = (): SqliteJournal => SqliteJournal.open({ path, clock });
  return Promise.resolve({
    journal: open(),
    reopen: () => Promise.resolve(open()),
    tamper: ({ position }, data) => {
      alter(path, 'UPDATE events SET data = ? WHERE position = ?', canonicalJson(data), position);
      return Promise.resolve();
    },
  });
});
