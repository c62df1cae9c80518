import { describe } from 'vitest';
import type { JsonObject } from '@tidemark/kernel';
import { describeAppending } from './contract/appending.ts';
import { describeKeeping } from './contract/keeping.ts';
import { describeModel } from './contract/model.ts';
import { describeReading } from './contract/reading.ts';
import { describeRedelivery } from './contract/redelivery.ts';
import { describeSubscribing } from './contract/subscribing.ts';
import type { Journal, RecordedEvent } from './journal.ts';

/** An empty journal, and what a test may do to it from outside. */
export interface JournalUnderTest {
  readonly journal: Journal;
  /** Opens anew what the journal kept; the test has closed it. */
  readonly reopen: () => Promise<Journal>;
  /**
   * Changes the data of a recorded event behind the journal's back and leaves its hash as it was. Absent where a test
   * cannot, as on a server; what needs it is then skipped.
   */
  readonly tamper?: (event: RecordedEvent, data: JsonObject) => Promise<void>;
}

/** Opens an empty journal; called within a running test, so it may use `onTestFinished` to tidy up. */
export type OpenJournal = () => Promise<JournalUnderTest>;

/** Everything an adapter must keep of the Journal port, as tests. Needs Vitest and fast-check. */
export function describeJournal(name: string, open: OpenJournal): void {
  describe(`${name} as a Journal`, () => {
    describeAppending(open);
    describeRedelivery(open);
    describeReading(open);
    describeSubscribing(open);
    describeKeeping(open);
    describeModel(open);
  });
}
