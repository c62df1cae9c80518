import type { Credential } from './credentials.ts';
import { hashPassword, verifyPassword } from './credentials.ts';
import type { Bound } from './topic-rules.ts';

/** Who a client is, or why it stays outside. */
export type Admission =
  | { readonly type: 'admitted'; readonly bound: Bound }
  | { readonly type: 'refused'; readonly why: 'bad-credentials' | 'too-many-password-checks' };

/** Checks user names and passwords, a bounded number at once, since each check takes memory and time by design. */
export class Doorkeeper {
  readonly #credentials: ReadonlyMap<string, Credential> | undefined;
  readonly #limit: number;
  #decoy: Promise<string> | undefined;
  #checking = 0;

  /** Without credentials anyone is admitted, bound to nothing. */
  constructor(credentials: readonly Credential[] | undefined, limit: number) {
    this.#limit = limit;
    this.#credentials =
      credentials === undefined ? undefined : new Map(credentials.map((each) => [each.username, each]));
  }

  async admit(username: string | undefined, password: Uint8Array | undefined): Promise<Admission> {
    if (this.#credentials === undefined) return { type: 'admitted', bound: 'anyone' };
    if (this.#checking >= this.#limit) return { type: 'refused', why: 'too-many-password-checks' };
    this.#checking += 1;
    try {
      const credential = this.#credentials.get(username ?? '');
      // A name that does not exist takes as long as a wrong password, so that names cannot be guessed by the time.
      const hash = credential?.passwordHash ?? (await (this.#decoy ??= hashPassword('')));
      const right = await verifyPassword(password ?? new Uint8Array(), hash);
      if (!right || credential === undefined) return { type: 'refused', why: 'bad-credentials' };
      const { account, riser } = credential;
      return { type: 'admitted', bound: { account, ...(riser === undefined ? {} : { riser }) } };
    } finally {
      this.#checking -= 1;
    }
  }
}
