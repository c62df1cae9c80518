import type { ProblemCode } from '@tidemark/api';
import type { Instant, Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import { HashingTurns } from './hashing-turns.ts';
import { LoginThrottle } from './login-throttle.ts';
import { opens } from './one-time-link.ts';
import { hashPassword, isPassword, weaknessOf } from './passwords.ts';
import type { Session } from './sessions.ts';
import { Sessions } from './sessions.ts';
import type { UserDirectory } from './user-directory.ts';
import type { User } from './user-events.ts';

/** Why somebody does not come in. */
export interface Refusal {
  readonly code: Extract<
    ProblemCode,
    'wrong-name-or-password' | 'too-many-attempts' | 'link-not-valid' | 'weak-password'
  >;
  readonly wait_ms?: number;
  readonly detail?: string;
}

/** A try at a password: whose, which, and from which address. */
export interface Attempt {
  readonly name: string;
  readonly password: string;
  readonly from: string;
}

/** Where people come in: by password, or once by a link to set one. */
export class FrontDesk {
  readonly #directory: UserDirectory;
  readonly #clock: () => Instant;
  readonly #throttle: LoginThrottle;
  readonly #turns = new HashingTurns();
  readonly sessions: Sessions;

  constructor(directory: UserDirectory, clock: () => Instant) {
    this.#directory = directory;
    this.#clock = clock;
    this.#throttle = new LoginThrottle(clock);
    this.sessions = new Sessions(clock);
  }

  /** A session for who knows the password. A name that nobody has costs and says the same as a wrong password. */
  async logIn(
    attempt: Attempt,
  ): Promise<Result<{ readonly secret: string; readonly session: Session; readonly user: User }, Refusal>> {
    const checked = await this.#check(attempt);
    return checked.ok ? ok({ ...this.sessions.open(checked.value.name), user: checked.value }) : checked;
  }

  /** Another password for who knows the one so far. The session at hand stays, every other one of this person ends. */
  async changePassword(attempt: Attempt, password: string, session: Session): Promise<Result<undefined, Refusal>> {
    const checked = await this.#check(attempt);
    if (!checked.ok) return checked;
    return this.#setPassword(checked.value, password, session.id);
  }

  /** The password for whose link this secret opens. The link does no more then, and every session of this person ends. */
  async redeem(secret: string, password: string): Promise<Result<string, Refusal>> {
    const user = this.#directory
      .all()
      .find(({ link, isDisabled }) => !isDisabled && opens(secret, link, this.#clock()));
    if (user === undefined) return fail({ code: 'link-not-valid' });
    const set = await this.#setPassword(user, password);
    return set.ok ? ok(user.name) : set;
  }

  /** Who a session is, as the person is now; undefined once it ended or the person is shut out. */
  whoIs(session: Session): User | undefined {
    const user = this.#directory.find(session.name);
    return user === undefined || user.isDisabled ? undefined : user;
  }

  async #check({ name, password, from }: Attempt): Promise<Result<User, Refusal>> {
    const { wait_ms } = this.#throttle.attempt(name, from);
    if (wait_ms > 0) return fail({ code: 'too-many-attempts', wait_ms });
    const found = this.#directory.find(name);
    const user = found?.isDisabled === true ? undefined : found;
    const right = await this.#turns.run(() => isPassword(password, user?.passwordHash));
    if (right === undefined) return fail(busy);
    if (!right || user === undefined) return fail({ code: 'wrong-name-or-password' });
    this.#throttle.succeeded(name, from);
    // Shut out while the password was looked at: then it came too late.
    const now = this.#directory.find(name);
    return now === undefined || now.isDisabled ? fail({ code: 'wrong-name-or-password' }) : ok(now);
  }

  async #setPassword(user: User, password: string, keep?: string): Promise<Result<undefined, Refusal>> {
    const weakness = weaknessOf(password, user.name);
    if (weakness !== undefined) return fail({ code: 'weak-password', detail: weakness });
    const hash = await this.#turns.run(() => hashPassword(password));
    if (hash === undefined) return fail(busy);
    // What a link opened must be as it was when it was looked at, or somebody else was quicker with the same one.
    if (this.#directory.find(user.name)?.revision !== user.revision) return fail({ code: 'link-not-valid' });
    if (!(await this.#directory.record(user.name, { type: 'password-set', hash, by: user.name })))
      return fail({ code: 'link-not-valid' });
    this.sessions.endAllOf(user.name, keep);
    return ok(undefined);
  }
}

/** Too many at once: a moment later it goes. */
const busy: Refusal = { code: 'too-many-attempts', wait_ms: 2_000 };
