import { randomUUID } from 'node:crypto';
import type { EventId, Journal } from '@tidemark/journal';
import { streamName, streamPrefix } from '@tidemark/journal';
import { invariant } from '@tidemark/kernel';
import type { User, UserEvent } from './user-events.ts';
import { evolveUser, readUserEvent } from './user-events.ts';

/** The part of the journal that people are kept in. */
export type UserJournal = Pick<Journal, 'append' | 'readAll' | 'readStream'>;

/**
 * Everybody whom this desk knows, folded from `user/{name}`. The desk is the only writer of these streams: what a
 * second process wrote is known after the next start, or as soon as this one writes for the same person.
 */
export class UserDirectory {
  readonly #journal: UserJournal;
  readonly #users = new Map<string, User>();

  private constructor(journal: UserJournal) {
    this.#journal = journal;
  }

  static async open(journal: UserJournal): Promise<UserDirectory> {
    const directory = new UserDirectory(journal);
    for await (const event of journal.readAll({ prefixes: [streamPrefix('user')] })) {
      const name = event.stream.slice('user/'.length);
      directory.#take(name, readUserEvent(event), event);
    }
    return directory;
  }

  find(name: string): User | undefined {
    return this.#users.get(name);
  }

  all(): readonly User[] {
    return [...this.#users.values()].toSorted((left, right) => (left.name < right.name ? -1 : 1));
  }

  /** Records what happened to a person as this directory knows the person; false where somebody was quicker. */
  async record(name: string, event: UserEvent): Promise<boolean> {
    const stream = streamName('user', name);
    const { type, ...data } = event;
    const appended = await this.#journal.append({
      stream,
      events: [{ id: randomUUID() as EventId, type, data }],
      expected: this.#users.get(name)?.revision ?? 'no-stream',
    });
    const from = this.#users.get(name)?.revision;
    for await (const each of this.#journal.readStream(stream, from === undefined ? {} : { from }))
      this.#take(name, readUserEvent(each), each);
    invariant(appended.ok || appended.failure.type === 'wrong-expected-revision', 'what happens to a person is small');
    return appended.ok;
  }

  #take(name: string, event: UserEvent | undefined, at: Parameters<typeof evolveUser>[2]): void {
    const user = this.#users.get(name);
    if (event === undefined || (user !== undefined && at.revision <= user.revision)) return;
    const evolved = evolveUser(user, event, at);
    if (evolved !== undefined) this.#users.set(name, evolved);
  }
}
