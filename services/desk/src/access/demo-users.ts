import type { Entry, Grant } from '@tidemark/api';
import { invariant } from '@tidemark/kernel';
import { hashPassword } from './passwords.ts';
import type { UserDirectory } from './user-directory.ts';

/** Who may try the demo; the passwords are no secret, so a demo answers this machine only. */
export type DemoUser = Entry['demoUsers'][number];

const people = (bound: string): readonly (DemoUser & { readonly grants: readonly Grant[] })[] => [
  {
    name: 'operator',
    password: 'watch-the-demo-risers',
    may: 'Watches every site, acknowledges, declares tests and impairments.',
    grants: [{ role: 'operator', accounts: 'all' }],
  },
  {
    name: 'manager',
    password: 'service-the-demo-risers',
    may: `Service manager of one site only, ${bound}; the others do not exist for this one.`,
    grants: [{ role: 'service-manager', accounts: [bound] }],
  },
  {
    name: 'integrator',
    password: 'test-the-demo-panels',
    may: 'Announces tests, confirms steps, reads what could not be understood.',
    grants: [{ role: 'integrator', accounts: 'all' }],
  },
  {
    name: 'administrator',
    password: 'look-after-demo-people',
    may: 'Looks after people and their roles; reads everything, commands nothing.',
    grants: [{ role: 'administrator', accounts: 'all' }],
  },
];

/** Lets the demo's people in. The demo's journal begins empty with every start, so they are nobody before. */
export async function inviteDemoUsers(
  directory: UserDirectory,
  accounts: readonly string[],
): Promise<readonly DemoUser[]> {
  const bound = accounts.toSorted()[0];
  invariant(bound !== undefined, 'the demo has a site');
  for (const { name, password, grants } of people(bound)) {
    const link = { hash: '', expiresAt_ms: 0 };
    await directory.record(name, { type: 'user-invited', name, grants: [...grants], link, by: 'demo' });
    await directory.record(name, { type: 'password-set', hash: await hashPassword(password), by: 'demo' });
  }
  return people(bound).map(({ name, password, may }) => ({ name, password, may }));
}
