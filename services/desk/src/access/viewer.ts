import type { IncomingMessage } from 'node:http';
import type { Accounts, Grant } from '@tidemark/api';
import type { ExecutionContext } from '@nestjs/common';
import { createParamDecorator } from '@nestjs/common';
import { invariant } from '@tidemark/kernel';
import type { Session } from './sessions.ts';

/** Who asks, as the guard found out: the name is the author of what is recorded. */
export interface Viewer {
  readonly name: string;
  readonly grants: readonly Grant[];
  /** Where this person's roles allow the route that is asked for. Nothing else exists for this request. */
  readonly accounts: Accounts;
  readonly session: Session;
}

/** A request on which the guard noted who asks. */
export interface SeenRequest extends IncomingMessage {
  viewer?: Viewer;
}

/** Gives a controller who asks: `@Who() viewer: Viewer`. Only on routes that ask for somebody. */
export const Who = createParamDecorator((_: unknown, context: ExecutionContext): Viewer => {
  const { viewer } = context.switchToHttp().getRequest<SeenRequest>();
  invariant(viewer !== undefined, 'the guard has noted who asks');
  return viewer;
});
