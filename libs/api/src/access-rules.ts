import type { Grant, Role } from './access.ts';
import { roles } from './access.ts';
import type { RiserCommand } from './command.ts';

/** Who may use a route. A role counts where it holds: `riser` at the account in the path, `accounts` at those it names. */
export type RouteAccess =
  | { readonly who: 'anyone' }
  | { readonly who: 'logged-in' }
  | { readonly who: readonly Role[]; readonly at: 'riser' | 'accounts' };

/** Accounts as a set: all there are, or these. */
export type Accounts = 'all' | ReadonlySet<string>;

/** Everybody with a role sees what stands there. */
export const readers = roles;

/** Which roles may give which command. What is not here is given by nobody, and does not compile. */
export const commandRoles: Readonly<Record<RiserCommand['command'], readonly Role[]>> = {
  'test-begin': ['operator', 'service-manager', 'integrator'],
  'test-end': ['operator', 'service-manager', 'integrator'],
  'impairment-begin': ['operator', 'service-manager'],
  'impairment-end': ['operator', 'service-manager'],
  acknowledge: ['operator', 'service-manager'],
  confirm: ['operator', 'service-manager', 'integrator'],
  'check-answered': ['operator', 'service-manager', 'integrator'],
  shelve: ['operator', 'service-manager'],
  unshelve: ['operator', 'service-manager'],
  note: ['operator', 'service-manager', 'integrator'],
  'call-recorded': ['operator', 'service-manager'],
  'dispatch-recorded': ['operator', 'service-manager'],
};

/** Who may give any command at all. */
export const commanders: readonly Role[] = roles.filter((role) =>
  Object.values(commandRoles).some((who) => who.includes(role)),
);

/** The accounts at which a person has one of these roles. */
export function accountsWith(grants: readonly Grant[], wanted: readonly Role[]): Accounts {
  const held = grants.filter(({ role }) => wanted.includes(role)).map(({ accounts }) => accounts);
  if (held.includes('all')) return 'all';
  return new Set(held.flatMap((each) => (each === 'all' ? [] : each)));
}

/** Whether an account is among them. */
export const isAmong = (accounts: Accounts, account: string): boolean => accounts === 'all' || accounts.has(account);

/** Whether a person may give this command at this account. */
export const mayCommand = (grants: readonly Grant[], account: string, command: RiserCommand['command']): boolean =>
  isAmong(accountsWith(grants, commandRoles[command]), account);
