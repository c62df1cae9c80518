import { MemoryJournal, MemoryRecords } from '@tidemark/journal';
import type { Append, Appended, AppendRejection, RecordedEvent } from '@tidemark/journal';
import { journalCommands } from '@tidemark/desk';
import { Intake } from '@tidemark/ingest';
import { seededRandom } from '@tidemark/kernel';
import type { Instant, JsonObject, Result } from '@tidemark/kernel';
import { TestClock } from '@tidemark/runtime';
import type { SnapshotStore } from '@tidemark/runtime';
import { toldLines } from '@tidemark/scenario';
import type { ToldLine } from '@tidemark/scenario';
import { cloudEventContentType, defaultPrefix, topicOf } from '@tidemark/signals';
import { LiveTwin, ProfileDirectory } from '@tidemark/twin';
import type { PublishedMessage } from '@tidemark/twin';
import type { Story } from '../support/stories.ts';

/** The station without its network: intake, commands, journal and twin, on a clock that the story moves. */
export interface StoryStation {
  readonly records: MemoryRecords;
  readonly messages: PublishedMessage[];
  /** The twin dies without a word, and another starts over the same journal. */
  readonly crash: () => Promise<void>;
  readonly stop: () => Promise<void>;
}

/** What a run may be given beside its story. */
export interface StoryOptions {
  readonly snapshots?: SnapshotStore;
  /** Called after each line was taken. */
  readonly afterLine?: (station: StoryStation, index: number) => Promise<void>;
}

/** The journal of a process that can die: from then on it records nothing more and answers nothing more. */
class MortalJournal extends MemoryJournal {
  isDead = false;

  override async appendAll(appends: readonly Append[]): Promise<readonly Result<Appended, AppendRejection>[]> {
    return this.isDead ? new Promise(() => undefined) : super.appendAll(appends);
  }
}

/** Lets a station hear a story, in the story's own time, to its end. */
export async function hear({ scenario, profile }: Story, options: StoryOptions = {}): Promise<StoryStation> {
  const lines = toldLines(scenario, profile);
  const time = new TestClock(lines[0]?.receivedAt ?? scenario.begin);
  const records = new MemoryRecords();
  const messages: PublishedMessage[] = [];
  const directory = new ProfileDirectory([profile]);
  let journal = new MortalJournal({ records, clock: time.now });
  let twin = await begin(journal);

  async function begin(over: MemoryJournal): Promise<LiveTwin> {
    const { snapshots: store } = options;
    const snapshots = store && { store, version: 'this test' };
    const made = new LiveTwin({
      journal: over,
      directory,
      prefix: defaultPrefix,
      time,
      random: seededRandom(1),
      ...(snapshots && { snapshots }),
    });
    await made.start();
    made.publishTo({ publish: (message) => Promise.resolve(void messages.push(message)) });
    return made;
  }

  const station: StoryStation = {
    records,
    messages,
    crash: async () => {
      journal.isDead = true;
      journal = new MortalJournal({ records, clock: time.now });
      twin = await begin(journal);
    },
    stop: () => twin.stop(),
  };
  for (const [index, line] of lines.entries()) {
    await passTime(time, line.receivedAt, journal);
    await take(line, { journal, directory, time, profile });
    await settled(journal);
    await options.afterLine?.(station, index);
  }
  await passTime(time, scenario.until, journal);
  return station;
}

/** A few steps of the clock, so that what falls due brings about what falls due next. */
async function passTime(time: TestClock, until: Instant, journal: MemoryJournal): Promise<void> {
  time.moveTo(until);
  await settled(journal);
  // What fell due at the very end is recorded when the grace of a commit has passed.
  time.advance(0);
  await settled(journal);
}

interface Door {
  readonly journal: MemoryJournal;
  readonly directory: ProfileDirectory;
  readonly time: TestClock;
  readonly profile: Story['profile'];
}

async function take({ json, receivedAt }: ToldLine, { journal, directory, time, profile }: Door): Promise<void> {
  if (json['type'] === 'riser.command.v1') {
    const command = commandOf(json['data'] as JsonObject);
    await journalCommands(journal, time.now).give(profile, { id: json['id'] as string, by: 'story', command });
    return;
  }
  const intake = new Intake({
    journal,
    now: time.now,
    random: seededRandom(2),
    prefix: defaultPrefix,
    installed: directory.installed,
  });
  const event = Object.fromEntries(Object.entries(json).filter(([name]) => name !== 'receivedtime'));
  const isLink = json['type'] === 'riser.link.v1';
  const sent = 'topic' in json ? rawOf(json) : { payload: JSON.stringify(isLink ? json['data'] : event) };
  const channel = isLink ? 'link' : 'signal';
  const contentType = isLink ? 'application/json' : cloudEventContentType;
  const topic = topicOf(defaultPrefix, profile, channel);
  await intake.admit([
    { topic, contentType, receivedAt, omitted_bytes: 0, ...sent, payload: Buffer.from(sent.payload) },
  ]);
}

const commandOf = ({ forSeconds, expect, ...rest }: JsonObject) =>
  ({
    ...rest,
    ...(rest['command'] === 'test-begin' ? { forSeconds, expect: expect ?? [] } : {}),
  }) as never;

function rawOf(json: JsonObject): { readonly payload: string | Buffer; readonly contentType?: string } {
  const { payload, payloadBase64, contentType } = json;
  const bytes = typeof payloadBase64 === 'string' ? Buffer.from(payloadBase64, 'base64') : (payload as string);
  return { payload: bytes, ...(typeof contentType === 'string' ? { contentType } : {}) };
}

/** Lets everything go on that can without time passing, until the journal has long been still. */
async function settled(journal: MemoryJournal): Promise<void> {
  let before = await journal.head();
  for (let still = 0; still < 20; still += 1) {
    await new Promise(setImmediate);
    const head = await journal.head();
    if (head !== before) still = 0;
    before = head;
  }
}

/** What the journal holds, in its order. */
export async function recordedIn(records: MemoryRecords, prefix: string): Promise<readonly RecordedEvent[]> {
  const events: RecordedEvent[] = [];
  for await (const event of new MemoryJournal({ records }).readAll())
    if (event.stream.startsWith(prefix)) events.push(event);
  return events;
}
