import { describe, expect, it } from 'vitest';
import { InvariantViolated } from '@tidemark/kernel';
import type { OpenJournal } from '../contract.ts';
import type { EventId, Journal, Position, RecordedEvent, Subscribe, SubscriptionMessage } from '../journal.ts';
import {
  append,
  appended,
  collect,
  deluge1,
  deluge2,
  finding1,
  findings,
  idOf,
  idsOf,
  opened,
  recordThreeStreams,
  take,
  taken,
  upTo,
} from './material.ts';

/** More than any adapter takes at a time, so that who is this far behind has fallen behind. */
const farBehind = 3_000;

export function describeSubscribing(open: OpenJournal): void {
  describe('when subscribing', () => {
    describeCatchingUp(open);
    describeGoingLive(open);
    describeWriters(open);
    describeEnding(open);
  });
}

function describeCatchingUp(open: OpenJournal): void {
  it('says at once that it is caught up with an empty journal', async () => {
    const { journal } = await opened(open);

    expect(await take(journal.subscribe(), 1)).toEqual([{ type: 'caught-up', position: undefined }]);
  });

  it('delivers the history in order, then says up to where it is caught up', async () => {
    const { journal } = await opened(open);
    const all = await recordThreeStreams(journal, 1_200);

    const messages = await take(journal.subscribe(), 1_201);

    expect(messages).toEqual([
      ...all.map((event) => ({ type: 'event', event })),
      { type: 'caught-up', position: all.at(-1)?.position },
    ]);
  });

  it('resumes strictly after the position given', async () => {
    const { journal } = await opened(open);
    const all = await recordThreeStreams(journal, 10);

    for (const [index, { position }] of all.entries())
      expect(await caughtUpEvents(journal, { after: position })).toEqual(all.slice(index + 1));
  });

  it('delivers the streams of its prefixes only, and is caught up with the whole journal', async () => {
    const { journal } = await opened(open);
    const all = await recordThreeStreams(journal, 10);

    const messages = await take(journal.subscribe({ prefixes: [findings] }), 4);

    expect(messages.slice(0, 3)).toEqual(
      all.filter(({ stream }) => stream === finding1).map((event) => ({ type: 'event', event })),
    );
    expect(messages[3]).toEqual({ type: 'caught-up', position: all.at(-1)?.position });
  });

  it('treats a position the journal has not reached as a bug', async () => {
    const { journal } = await opened(open);
    await expect(take(journal.subscribe({ after: 1n as Position }), 1)).rejects.toThrow(InvariantViolated);
    const { position } = await appended(journal, append(deluge1, ['a']));

    await expect(take(journal.subscribe({ after: (position * 1_000n) as Position }), 1)).rejects.toThrow(
      InvariantViolated,
    );
  });
}

function describeGoingLive(open: OpenJournal): void {
  it('delivers what is recorded from then on, without saying again that it is caught up', async () => {
    const { journal } = await opened(open);
    const messages = journal.subscribe()[Symbol.asyncIterator]();
    await messages.next();

    for (const name of upTo(20)) {
      const next = messages.next();
      await appended(journal, append(name % 2 === 0 ? deluge1 : finding1, [name]));
      expect(await next).toMatchObject({ value: { type: 'event', event: { id: idOf(name) } } });
    }
    await messages.return?.();
  });

  it('passes over what it does not want and delivers the next that it does', async () => {
    const { journal } = await opened(open);
    const messages = journal.subscribe({ prefixes: [findings] })[Symbol.asyncIterator]();
    await messages.next();

    const next = messages.next();
    await appended(journal, append(deluge1, upTo(30)));
    await appended(journal, append(finding1, ['wanted']));

    expect(await next).toMatchObject({ value: { type: 'event', event: { id: idOf('wanted') } } });
    await messages.return?.();
  });
}

function describeWriters(open: OpenJournal): void {
  it('goes from history to live without a gap or a repeat while writers hammer the journal', async () => {
    const { journal } = await opened(open);
    const writers = ['north', 'south', 'east', 'west'];
    const perWriter = 150;
    const write = async (writer: string): Promise<void> => {
      for (const number of upTo(perWriter))
        await appended(journal, append(writer === 'north' ? deluge1 : deluge2, [`${writer}-${number}`]));
    };

    await recordThreeStreams(journal, 700);
    const total = 700 + writers.length * perWriter;
    const subscribed = Promise.all([eventsUpTo(journal, {}, total), eventsUpTo(journal, {}, total)]);
    await Promise.all(writers.map(write));

    const all = await collect(journal.readAll());
    expect(all).toHaveLength(total);
    expect(await subscribed).toEqual([all, all]);
  });

  it('gives each event once when it is left and resumed again and again under writers', async () => {
    const { journal } = await opened(open);
    const total = 200;
    const writing = Promise.all(upTo(total).map((number) => journal.append(append(deluge1, [number]))));

    const seen: EventId[] = [];
    let after: Position | undefined;
    while (seen.length < total) {
      const part = await eventsUpTo(journal, after === undefined ? {} : { after }, Math.min(7, total - seen.length));
      seen.push(...idsOf(part));
      after = part.at(-1)?.position;
    }
    (await writing).forEach(taken);

    expect(seen).toEqual(upTo(total).map(idOf));
  });

  it('loses nothing for a slow reader, and says when it has caught up again', async () => {
    const { journal } = await opened(open);
    const messages = journal.subscribe()[Symbol.asyncIterator]();
    await messages.next();
    const all = await recordThreeStreams(journal, farBehind);

    const late: SubscriptionMessage[] = [];
    while (late.at(-1)?.type !== 'caught-up') late.push((await messages.next()).value as SubscriptionMessage);
    await messages.return?.();

    expect(late).toEqual([
      ...all.map((event) => ({ type: 'event', event })),
      { type: 'caught-up', position: all.at(-1)?.position },
    ]);
  });
}

function describeEnding(open: OpenJournal): void {
  const done = { done: true, value: undefined };

  it('ends without an error when its signal aborts while it waits', async () => {
    const { journal } = await opened(open);
    const stop = new AbortController();
    const messages = journal.subscribe({ signal: stop.signal })[Symbol.asyncIterator]();
    await messages.next();

    const next = messages.next();
    stop.abort();

    expect(await next).toEqual(done);
    expect(await messages.next()).toEqual(done);
  });

  it('delivers nothing more once its signal aborts amid the history', async () => {
    const { journal } = await opened(open);
    await recordThreeStreams(journal, 10);
    const stop = new AbortController();

    let seen = 0;
    for await (const message of journal.subscribe({ signal: stop.signal })) {
      expect(message.type).toBe('event');
      seen += 1;
      if (seen === 3) stop.abort();
    }

    expect(seen).toBe(3);
  });

  it('delivers nothing when its signal aborted before', async () => {
    const { journal } = await opened(open);
    await recordThreeStreams(journal, 3);

    expect(await collect(journal.subscribe({ signal: AbortSignal.abort() }))).toEqual([]);
  });

  it('ends at once when it is returned while it waits', async () => {
    const { journal } = await opened(open);
    const messages = journal.subscribe()[Symbol.asyncIterator]();
    await messages.next();

    const next = messages.next();

    expect(await messages.return?.()).toEqual(done);
    expect(await next).toEqual(done);
  });

  it('ends when the journal closes', async () => {
    const { journal } = await opened(open);
    const messages = journal.subscribe()[Symbol.asyncIterator]();
    await messages.next();

    const next = messages.next();
    await journal.close();

    expect(await next).toEqual(done);
  });
}

async function caughtUpEvents(journal: Journal, options: Subscribe): Promise<readonly RecordedEvent[]> {
  const events: RecordedEvent[] = [];
  for await (const message of journal.subscribe(options)) {
    if (message.type === 'caught-up') break;
    events.push(message.event);
  }
  return events;
}

/** The next events, this many, whatever else is said between them. */
async function eventsUpTo(journal: Journal, options: Subscribe, count: number): Promise<readonly RecordedEvent[]> {
  const events: RecordedEvent[] = [];
  for await (const message of journal.subscribe(options))
    if (message.type === 'event' && events.push(message.event) === count) break;
  return events;
}
