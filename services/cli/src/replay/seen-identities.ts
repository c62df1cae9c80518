import { createHash } from 'node:crypto';

/**
 * The identities seen so far, for ever, as live. Kept as SHA-256 digests: an identity may have two thousand
 * characters, a digest has thirty-two bytes.
 */
export class SeenIdentities {
  readonly #digests = new Set<string>();

  /** Remembers an identity; `false` when it was there already. */
  add(identity: string): boolean {
    const digest = createHash('sha256').update(identity).digest('binary');
    if (this.#digests.has(digest)) return false;
    this.#digests.add(digest);
    return true;
  }
}
