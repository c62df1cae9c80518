import type { Grant, ProblemCode, User as WireUser } from '@tidemark/api';
import { accountsWith, isAmong } from '@tidemark/api';
import type { Accounts } from '@tidemark/api';
import type { Instant, Result } from '@tidemark/kernel';
import { fail, formatInstant, instant, ok } from '@tidemark/kernel';
import { newLink } from './one-time-link.ts';
import type { Sessions } from './sessions.ts';
import type { UserDirectory } from './user-directory.ts';
import type { User, UserEvent } from './user-events.ts';

/** Who administers, and at which accounts. */
export interface Administrator {
  readonly name: string;
  readonly accounts: Accounts;
}

/** Why an administrator's wish is not fulfilled. */
export type PeopleRefusal = Extract<
  ProblemCode,
  'unknown-user' | 'name-taken' | 'beyond-own-accounts' | 'last-administrator'
>;

/** A person with the path of a one-time link. */
export interface Invited {
  readonly user: User;
  readonly path: string;
}

/** The name that the first administrator of a station has. */
export const firstAdministrator = 'administrator';

const everything: Grant = { role: 'administrator', accounts: 'all' };

/**
 * Looks after people. An administrator looks after those whose every role lies at accounts of the administrator's own,
 * and gives roles there only; anybody else is as if not there, but for the name, which is nobody else's any more.
 */
export class PeopleOffice {
  readonly #directory: UserDirectory;
  readonly #sessions: Sessions;
  readonly #clock: () => Instant;

  constructor(directory: UserDirectory, sessions: Sessions, clock: () => Instant) {
    this.#directory = directory;
    this.#sessions = sessions;
    this.#clock = clock;
  }

  list(administrator: Administrator): readonly User[] {
    return this.#directory.all().filter((user) => looksAfter(administrator, user));
  }

  async invite(
    administrator: Administrator,
    name: string,
    grants: readonly Grant[],
  ): Promise<Result<Invited, PeopleRefusal>> {
    if (!liesWithin(grants, administrator.accounts)) return fail('beyond-own-accounts');
    if (this.#directory.find(name) !== undefined) return fail('name-taken');
    return this.#invite(name, grants, administrator.name);
  }

  async renewLink(administrator: Administrator, name: string): Promise<Result<Invited, PeopleRefusal>> {
    const user = this.#find(administrator, name);
    if (user === undefined || user.isDisabled) return fail('unknown-user');
    const { path, kept } = newLink(this.#clock());
    const changed = await this.#record(name, { type: 'link-renewed', link: kept, by: administrator.name });
    return changed.ok ? ok({ user: changed.value, path }) : changed;
  }

  async change(
    administrator: Administrator,
    name: string,
    wish: { readonly grants?: readonly Grant[] | undefined; readonly disabled?: boolean | undefined },
  ): Promise<Result<User, PeopleRefusal>> {
    const user = this.#find(administrator, name);
    if (user === undefined) return fail('unknown-user');
    const grants = wish.grants ?? user.grants;
    if (!liesWithin(grants, administrator.accounts)) return fail('beyond-own-accounts');
    const isDisabled = wish.disabled ?? user.isDisabled;
    if (this.#wouldLeaveNobody({ ...user, grants, isDisabled })) return fail('last-administrator');
    let changed: Result<User, PeopleRefusal> = ok(user);
    if (wish.grants !== undefined)
      changed = await this.#record(name, { type: 'roles-changed', grants: [...wish.grants], by: administrator.name });
    if (changed.ok && wish.disabled !== undefined && wish.disabled !== user.isDisabled) {
      const type = wish.disabled ? 'user-disabled' : 'user-enabled';
      changed = await this.#record(name, { type, by: administrator.name });
    }
    if (isDisabled) this.#sessions.endAllOf(name);
    return changed;
  }

  /**
   * The one-time link of the first administrator, as long as nobody can administer the whole station. Each start makes a
   * new one, and the one before does no more. `new` makes one though somebody can, for who lost the password: whoever
   * sets up the station could change its journal as well.
   */
  async firstLink(when: 'first' | 'new' = 'first'): Promise<string | undefined> {
    if (when === 'first' && this.#directory.all().some(canAdministerAll)) return undefined;
    const user = this.#directory.find(firstAdministrator);
    if (user === undefined) {
      const invited = await this.#invite(firstAdministrator, [everything], 'station');
      return invited.ok ? invited.value.path : undefined;
    }
    const others = user.grants.filter(({ role }) => role !== 'administrator');
    if (user.isDisabled) await this.#record(firstAdministrator, { type: 'user-enabled', by: 'station' });
    if (accountsWith(user.grants, ['administrator']) !== 'all')
      await this.#record(firstAdministrator, { type: 'roles-changed', grants: [...others, everything], by: 'station' });
    const { path, kept } = newLink(this.#clock());
    const renewed = await this.#record(firstAdministrator, { type: 'link-renewed', link: kept, by: 'station' });
    return renewed.ok ? path : undefined;
  }

  /** How a person is told of. */
  onTheWire({ name, grants, passwordHash, isDisabled, link, changedBy, changedAt_ms }: User): WireUser {
    const isOut = link !== undefined && this.#clock() < link.expiresAt_ms;
    return {
      name,
      grants: grants.map(({ role, accounts }) => ({ role, accounts })),
      state: isDisabled ? 'disabled' : passwordHash === undefined ? 'invited' : 'active',
      ...(isOut ? { linkExpiresAt: formatInstant(instant(link.expiresAt_ms)) } : {}),
      changedBy,
      changedAt: formatInstant(instant(changedAt_ms)),
    };
  }

  async #invite(name: string, grants: readonly Grant[], by: string): Promise<Result<Invited, PeopleRefusal>> {
    const { path, kept } = newLink(this.#clock());
    const invited = await this.#record(name, { type: 'user-invited', name, grants: [...grants], link: kept, by });
    return invited.ok ? ok({ user: invited.value, path }) : fail('name-taken');
  }

  async #record(name: string, event: UserEvent): Promise<Result<User, PeopleRefusal>> {
    const recorded = await this.#directory.record(name, event);
    const user = this.#directory.find(name);
    return recorded && user !== undefined ? ok(user) : fail('unknown-user');
  }

  #find(administrator: Administrator, name: string): User | undefined {
    const user = this.#directory.find(name);
    return user !== undefined && looksAfter(administrator, user) ? user : undefined;
  }

  #wouldLeaveNobody(changed: User): boolean {
    const others = this.#directory.all().filter(({ name }) => name !== changed.name);
    const before = this.#directory.find(changed.name);
    if (before === undefined || !administersAll(before)) return false;
    return !administersAll(changed) && !others.some(canAdministerAll);
  }
}

const administersAll = ({ grants, isDisabled }: User): boolean =>
  !isDisabled && accountsWith(grants, ['administrator']) === 'all';

const canAdministerAll = (user: User): boolean => administersAll(user) && user.passwordHash !== undefined;

const looksAfter = ({ accounts }: Administrator, { grants }: User): boolean => liesWithin(grants, accounts);

/** Who has no role at all lies within no account, and is looked after by those who look after all. */
const liesWithin = (grants: readonly Grant[], accounts: Accounts): boolean =>
  accounts === 'all' ||
  (grants.length > 0 &&
    grants.every((each) => each.accounts !== 'all' && each.accounts.every((one) => isAmong(accounts, one))));
