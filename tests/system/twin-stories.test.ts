import { MemoryJournal } from '@tidemark/journal';
import type { MemoryRecords } from '@tidemark/journal';
import { seededRandom } from '@tidemark/kernel';
import { viewOf } from '@tidemark/reasoning';
import type { Twin } from '@tidemark/reasoning';
import { MemorySnapshots, ProjectionHost, TestClock } from '@tidemark/runtime';
import { findingPayload, statePayload } from '@tidemark/signals';
import { riserFold, stateOnTheWire, twinCodec } from '@tidemark/twin';
import { afterAll, describe, expect, it } from 'vitest';
import type { Story } from '../support/stories.ts';
import { stories } from '../support/stories.ts';
import { toldByReplay } from '../support/told-by-replay.ts';
import type { StoryStation } from './twin-over-stories.ts';
import { hear, recordedIn } from './twin-over-stories.ts';

interface Said {
  readonly code: string;
  readonly status: string;
  readonly at: string;
  readonly severity: string;
}

const told = ({ messages }: { readonly messages: readonly { readonly topic: string; readonly payload: string }[] }) =>
  messages.filter(({ topic }) => topic.endsWith('/finding')).map(({ payload }) => JSON.parse(payload) as Said);

const raised = (said: readonly Said[]): readonly string[] =>
  said.filter(({ status }) => status === 'raised').map(({ code, at, severity }) => `${at} ${code} ${severity}`);

const raisedInReplay = (story: Story): readonly string[] =>
  toldByReplay(story).findings.map(
    ({ code, raisedAt, severity }) => `${new Date(raisedAt).toISOString()} ${code} ${severity}`,
  );

const found = async (records: MemoryRecords) =>
  (await recordedIn(records, 'finding/')).map(({ id, type, data }) => ({ id, type, data }));

/** The twin of the journal's one riser, folded from its beginning. */
async function fold(records: MemoryRecords): Promise<Twin> {
  const journal = new MemoryJournal({ records });
  const events = await recordedIn(records, 'riser/');
  const time = new TestClock(events[0]!.recordedAt);
  const host = new ProjectionHost({ journal, fold: riserFold, time, random: seededRandom(1) });
  await host.start();
  await host.stop();
  return host.get(host.keys()[0]!)!;
}

const stations = new Map<string, Promise<StoryStation>>();

/** The station that heard the story without a break; each is heard once. */
function heard(story: Story): Promise<StoryStation> {
  const station = stations.get(story.name) ?? hear(story);
  stations.set(story.name, station);
  return station;
}

afterAll(async () => {
  for (const station of stations.values()) await (await station).stop();
});

describe('the recorded stories, through the live twin', () => {
  it.each(stories())('$scenario.claim: live says what replay says', async (story) => {
    const station = await heard(story);

    expect(raised(told(station))).toEqual(raisedInReplay(story));
  });

  it.each(stories())('$name: every message keeps to its schema', async (story) => {
    const station = await heard(story);

    const states = station.messages.filter(({ topic }) => topic.endsWith('/state'));
    expect(states.length).toBeGreaterThan(0);
    for (const { payload } of states) expect(statePayload.safeParse(JSON.parse(payload)).error).toBeUndefined();
    for (const finding of told(station)) expect(findingPayload.safeParse(finding).error).toBeUndefined();
  });

  it.each(stories())('$name: folding the journal twice gives the same bytes', async (story) => {
    const { records } = await heard(story);

    const [one, other] = [await fold(records), await fold(records)];

    expect(Buffer.compare(twinCodec.encode(one), twinCodec.encode(other))).toBe(0);
  });

  it.each(stories())('$name: a state that was stored goes on as if it had not been', async (story) => {
    const snapshots = new MemorySnapshots();
    const plain = await heard(story);
    const stored = await hear(story, {
      snapshots,
      afterLine: async (station) => {
        await station.stop();
        await station.crash();
      },
    });

    expect(await found(stored.records)).toEqual(await found(plain.records));
    await stored.stop();
    const restored = await snapshots.load();
    expect([...restored!.states.values()].map((bytes) => seen(twinCodec.decode(bytes)))).toEqual([
      seen(await fold(plain.records)),
    ]);
  });
});

const seen = (twin: Twin) => stateOnTheWire(viewOf(twin, twin.riser.now), 0n as never);

describe('a twin that dies after every line', () => {
  it.each(stories())('$name: has told each finding once, and the same ones', async (story) => {
    const plain = await heard(story);
    const mortal = await hear(story, { afterLine: (station) => station.crash() });

    expect(await found(mortal.records)).toEqual(await found(plain.records));
    expect(told(mortal)).toEqual(told(plain));
    await mortal.stop();
  });
});
