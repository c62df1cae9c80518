import type { Invitation, User } from '@tidemark/api';
import { routes } from '@tidemark/api';
import { Body, Controller, Get, HttpCode, Inject, Param, Post } from '@nestjs/common';
import type { Result } from '@tidemark/kernel';
import type { z } from 'zod';
import { nestPath } from '../http/desk-address.ts';
import { Refused } from '../http/refused.ts';
import { ACCESS } from '../http/tokens.ts';
import type { Access } from './access.ts';
import type { Invited, PeopleOffice, PeopleRefusal } from './people-office.ts';
import type { Viewer } from './viewer.ts';
import { Who } from './viewer.ts';

interface UserKey {
  readonly user: string;
}

/** People and their roles. */
@Controller()
export class PeopleController {
  readonly #people: PeopleOffice;

  constructor(@Inject(ACCESS) { people }: Access) {
    this.#people = people;
  }

  @Get(nestPath(routes.listUsers))
  list(@Who() viewer: Viewer): { readonly users: readonly User[] } {
    return { users: this.#people.list(viewer).map((user) => this.#people.onTheWire(user)) };
  }

  @Post(nestPath(routes.inviteUser))
  @HttpCode(routes.inviteUser.answer.status)
  async invite(
    @Who() viewer: Viewer,
    @Body({ schema: routes.inviteUser.body }) { name, grants }: z.infer<typeof routes.inviteUser.body>,
  ): Promise<Invitation> {
    return this.#invitation(await this.#people.invite(viewer, name, grants));
  }

  @Post(nestPath(routes.changeUser))
  @HttpCode(routes.changeUser.answer.status)
  async change(
    @Who() viewer: Viewer,
    @Param({ schema: routes.changeUser.params }) { user }: UserKey,
    @Body({ schema: routes.changeUser.body }) wish: z.infer<typeof routes.changeUser.body>,
  ): Promise<User> {
    return this.#people.onTheWire(orRefused(await this.#people.change(viewer, user, wish)));
  }

  @Post(nestPath(routes.renewLink))
  @HttpCode(routes.renewLink.answer.status)
  async renewLink(
    @Who() viewer: Viewer,
    @Param({ schema: routes.renewLink.params }) { user }: UserKey,
  ): Promise<Invitation> {
    return this.#invitation(await this.#people.renewLink(viewer, user));
  }

  #invitation(invited: Result<Invited, PeopleRefusal>): Invitation {
    const { user, path } = orRefused(invited);
    return { user: this.#people.onTheWire(user), path };
  }
}

function orRefused<Value>(result: Result<Value, PeopleRefusal>): Value {
  if (!result.ok) throw new Refused(result.failure);
  return result.value;
}
