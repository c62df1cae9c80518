export { CommitQueueFull, JournalInUse, UnknownJournalFormat } from './faults.ts';
export { SqliteJournalReader } from './sqlite-journal-reader.ts';
export { SqliteJournal } from './sqlite-journal.ts';
export type { SqliteJournalOptions } from './sqlite-journal.ts';
