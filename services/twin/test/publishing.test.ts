import { seededRandom } from '@tidemark/kernel';
import { TestClock } from '@tidemark/runtime';
import { describe, expect, it } from 'vitest';
import { PartWatch } from '../src/part-watch.ts';
import { StatePublisher } from '../src/state-publisher.ts';
import { KeptMessages, start } from './support.ts';

const turns = async (): Promise<void> => {
  for (let turn = 0; turn < 10; turn += 1) await new Promise(setImmediate);
};

const publisherOf = (broker: KeptMessages | { publish: () => Promise<void> }) => {
  const time = new TestClock(start);
  const version = { now: 1 };
  const watch = new PartWatch(time.now);
  const states = new StatePublisher({
    publisher: broker,
    stateOf: (riser) => ({
      topic: `${riser}/state`,
      payload: JSON.stringify(version.now),
      retain: true,
      contentType: 'application/json',
    }),
    time,
    random: seededRandom(1),
    watch,
  });
  return { states, time, version };
};

const payloads = (broker: KeptMessages) => broker.messages.map(({ payload }) => Number(payload));

describe('a state publisher', () => {
  it('publishes at once what changed after a quiet time, and then the latest, a quarter of a second later', async () => {
    const broker = new KeptMessages();
    const { states, time, version } = publisherOf(broker);

    states.changed('a');
    await turns();
    expect(payloads(broker)).toEqual([1]);
    for (version.now = 2; version.now <= 5; version.now += 1) {
      states.changed('a');
      await turns();
    }
    version.now = 5;
    time.advance(249);
    await turns();
    expect(payloads(broker)).toEqual([1]);
    time.advance(1);
    await turns();

    expect(payloads(broker)).toEqual([1, 5]);
    time.advance(250);
    states.changed('a');
    await turns();
    expect(payloads(broker)).toEqual([1, 5, 5]);
    await states.stop();
  });

  it('publishes each riser at its own pace', async () => {
    const broker = new KeptMessages();
    const { states } = publisherOf(broker);

    states.changed('a');
    await turns();
    states.changed('b');
    await turns();

    expect(broker.messages.map(({ topic }) => topic)).toEqual(['a/state', 'b/state']);
    await states.stop();
  });

  it('publishes what changed while the broker was taking its time, never two at once', async () => {
    const taken: (() => void)[] = [];
    const { states, time } = publisherOf({ publish: () => new Promise<void>((resolve) => taken.push(resolve)) });

    states.changed('a');
    states.changed('a');
    time.advance(1_000);
    await turns();
    expect(taken.length).toBe(1);
    taken[0]!();
    await turns();

    expect(taken.length).toBe(2);
    taken[1]!();
    await states.stop();
  });

  it('tries again with the state of then', async () => {
    const broker = new KeptMessages();
    broker.failures = 1;
    const { states, time, version } = publisherOf(broker);

    states.changed('a');
    await turns();
    version.now = 2;
    time.advance(1_000);
    await turns();

    expect(payloads(broker)).toEqual([2]);
    await states.stop();
  });

  it('sends what is waiting when it stops, and nothing afterwards', async () => {
    const broker = new KeptMessages();
    const { states, time, version } = publisherOf(broker);
    states.changed('a');
    await turns();
    version.now = 2;
    states.changed('a');

    await states.stop();
    states.changed('a');
    time.advance(1_000);
    await turns();

    expect(payloads(broker)).toEqual([1, 2]);
  });

  it('stops though the broker takes nothing', async () => {
    const broker = new KeptMessages();
    broker.failures = 1_000;
    const { states } = publisherOf(broker);
    states.changed('a');
    await turns();

    await states.stop();

    expect(payloads(broker)).toEqual([]);
  });
});
