import type { Grant } from '@tidemark/api';
import { grants, userName } from '@tidemark/api';
import type { RecordedEvent, Revision } from '@tidemark/journal';
import { unreachable } from '@tidemark/kernel';
import { z } from 'zod';

const by = z.string();
/** A one-time link as it is kept: what its secret hashes to, and until when it may be used. */
const link = z.object({ hash: z.string(), expiresAt_ms: z.number().int() });

/** What happens to a person of the desk, as the stream `user/{name}` keeps it. No event holds a password or a link's secret. */
const userEvent = z.discriminatedUnion('type', [
  z.object({ type: z.literal('user-invited'), name: userName, grants, link, by }),
  z.object({ type: z.literal('link-renewed'), link, by }),
  z.object({ type: z.literal('password-set'), hash: z.string(), by }),
  z.object({ type: z.literal('roles-changed'), grants, by }),
  z.object({ type: z.literal('user-disabled'), by }),
  z.object({ type: z.literal('user-enabled'), by }),
]);

/** What happens to a person of the desk. */
export type UserEvent = z.infer<typeof userEvent>;

/** A one-time link as it is kept. */
export type KeptLink = z.infer<typeof link>;

/** A person of the desk, folded from the stream. */
export interface User {
  readonly name: string;
  readonly grants: readonly Grant[];
  /** The argon2id hash; absent until a password is set. */
  readonly passwordHash: string | undefined;
  readonly link: KeptLink | undefined;
  readonly isDisabled: boolean;
  readonly revision: Revision;
  readonly changedBy: string;
  readonly changedAt_ms: number;
}

/** Reads a recorded event; one that this build does not know is undefined, and leaves the person as known so far. */
export function readUserEvent({ type, data }: RecordedEvent): UserEvent | undefined {
  const parsed = userEvent.safeParse({ ...data, type });
  return parsed.success ? parsed.data : undefined;
}

/** Folds one event. A stream begins with the invitation; what stands before it, which nobody writes, is nobody. */
export function evolveUser(
  user: User | undefined,
  event: UserEvent,
  at: Pick<RecordedEvent, 'revision' | 'recordedAt'>,
): User | undefined {
  const changed = { revision: at.revision, changedBy: event.by, changedAt_ms: at.recordedAt };
  if (event.type === 'user-invited')
    return {
      name: event.name,
      grants: event.grants,
      passwordHash: undefined,
      link: event.link,
      isDisabled: false,
      ...changed,
    };
  if (user === undefined) return undefined;
  switch (event.type) {
    case 'link-renewed':
      return { ...user, link: event.link, ...changed };
    case 'password-set':
      return { ...user, passwordHash: event.hash, link: undefined, ...changed };
    case 'roles-changed':
      return { ...user, grants: event.grants, ...changed };
    case 'user-disabled':
      return { ...user, isDisabled: true, link: undefined, ...changed };
    case 'user-enabled':
      return { ...user, isDisabled: false, ...changed };
    default:
      return unreachable(event);
  }
}
