import type { Instant } from '@tidemark/kernel';
import type { DemoUser } from './demo-users.ts';
import { inviteDemoUsers } from './demo-users.ts';
import { FrontDesk } from './front-desk.ts';
import { PeopleOffice } from './people-office.ts';
import type { UserJournal } from './user-directory.ts';
import { UserDirectory } from './user-directory.ts';

/** Who may come in, who is in, and who looks after them. */
export interface Access {
  readonly site: 'real' | 'demo';
  readonly directory: UserDirectory;
  readonly frontDesk: FrontDesk;
  readonly people: PeopleOffice;
  readonly demoUsers: readonly DemoUser[];
}

/** What access stands on. */
export interface AccessOptions {
  readonly journal: UserJournal;
  /** The clock of this machine, also where a demo runs faster: sessions and links live by people's time. */
  readonly clock: () => Instant;
  /** The accounts of the demo site; absent on a real one. */
  readonly demoAccounts?: readonly string[];
}

/** Reads who is known from the journal. Throws `JournalUnavailable` where it cannot be read. */
export async function openAccess({ journal, clock, demoAccounts }: AccessOptions): Promise<Access> {
  const directory = await UserDirectory.open(journal);
  const frontDesk = new FrontDesk(directory, clock);
  return {
    site: demoAccounts === undefined ? 'real' : 'demo',
    directory,
    frontDesk,
    people: new PeopleOffice(directory, frontDesk.sessions, clock),
    demoUsers: demoAccounts === undefined ? [] : await inviteDemoUsers(directory, demoAccounts),
  };
}
