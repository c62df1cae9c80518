import { setPasswordPath } from '@tidemark/api';
import type { Instant } from '@tidemark/kernel';
import { keptOf, newSecret } from './secrets.ts';
import type { KeptLink } from './user-events.ts';

/** So long a one-time link may be used: to be handed over and used within a day. A choice of this project. */
export const linkLifetime_ms = 86_400_000;

/** A fresh link: what is told once, and what is kept. The secret stands after `#`, which no browser sends or logs. */
export function newLink(now: Instant): { readonly path: string; readonly kept: KeptLink } {
  const secret = newSecret();
  return {
    path: `${setPasswordPath}#${secret}`,
    kept: { hash: keptOf(secret), expiresAt_ms: now + linkLifetime_ms },
  };
}

/** Whether a secret opens this link now. */
export const opens = (secret: string, link: KeptLink | undefined, now: Instant): boolean =>
  link !== undefined && link.hash === keptOf(secret) && now < link.expiresAt_ms;
