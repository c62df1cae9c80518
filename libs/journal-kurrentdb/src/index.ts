export {
  AnswerOverdue,
  AppendQueueFull,
  AppendRefused,
  CallEnded,
  ForeignHistory,
  StreamContended,
  UnusableServerUrl,
} from './faults.ts';
export { KurrentDbJournal } from './kurrentdb-journal.ts';
export type { KurrentDbJournalOptions } from './kurrentdb-journal.ts';
export { defaultPatience } from './patience.ts';
export type { Patience } from './patience.ts';
