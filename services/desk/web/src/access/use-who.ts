import { createContext, useContext } from 'react';
import type { Role, RiserCommand, WhoAmI } from '@tidemark/api';
import { accountsWith, mayCommand, routes } from '@tidemark/api';
import { invariant } from '@tidemark/kernel';
import type { WhoStore } from './who-store.ts';

/** Who is logged in, with the way out. */
export interface LoggedIn {
  readonly who: WhoAmI;
  readonly store: WhoStore;
}

/** Whoever is logged in, for every screen behind the entrance. */
export const WhoContext = createContext<LoggedIn | undefined>(undefined);

/** Whoever is logged in: the name is the author of what is done here. Only behind the entrance. */
export function useWho(): LoggedIn {
  const who = useContext(WhoContext);
  invariant(who !== undefined, 'every screen stands behind the entrance');
  return who;
}

/** Whether this person may give a command at an account. The station decides; this only spares what it would refuse. */
export function useMay(account: string): (command: RiserCommand['command']) => boolean {
  const { grants } = useWho().who;
  return (command) => mayCommand(grants, account, command);
}

/** Whether this person may use a route that answers for accounts, such as `listQuarantine` or `listUsers`. */
export function useMayUse(route: 'handOver' | 'listQuarantine' | 'listUsers'): boolean {
  const { grants } = useWho().who;
  const accounts = accountsWith(grants, routes[route].access.who);
  return accounts === 'all' || accounts.size > 0;
}

/** A role as people call it. */
export const roleWords: Readonly<Record<Role, string>> = {
  operator: 'operator',
  'service-manager': 'service manager',
  integrator: 'integrator',
  administrator: 'administrator',
};

/** Where a role holds, in words. */
export const accountsWords = (accounts: WhoAmI['grants'][number]['accounts']): string =>
  accounts === 'all' ? 'all sites' : accounts.join(', ');
