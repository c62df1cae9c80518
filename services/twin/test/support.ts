import { deriveEventId, MemoryJournal } from '@tidemark/journal';
import type { Append, Appended, AppendRejection, Journal, Position, RecordedEvent } from '@tidemark/journal';
import { formatInstant, instant, seededRandom } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import { encodeRiserEvent, parseProfile } from '@tidemark/riser';
import type { Profile, RiserEvent } from '@tidemark/riser';
import { TestClock } from '@tidemark/runtime';
import type { PublishedMessage, Publisher } from '../src/index.ts';
import { LiveTwin, ProfileDirectory, PublishFault } from '../src/index.ts';
import { streamOf } from '../src/riser-fold.ts';

export const start = instant(1_772_438_400_000);
export const riser = 'quayside-cold-store/deluge-1';

export const profileText = (name = 'deluge-1', more = ''): string => `
account: quayside-cold-store
riser: ${name}
site: { name: Quayside cold store, timeZone: Europe/Oslo }
release: electric
points:
  - { point: 1, signal: manual-pull, label: Pull station }
  - { point: 3, signal: waterflow, label: Waterflow switch }
  - { point: 4, signal: supply-valve, label: Supply valve }
  - { point: 5, signal: prime-pressure-low, label: Priming pressure }
  - { point: 6, signal: solenoid, label: Release solenoid }
${more}`;

export function profile(name?: string, more?: string): Profile {
  const parsed = parseProfile(profileText(name, more), 'test.riser.yaml');
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.failure));
  return parsed.value;
}

/** A broker that keeps what it was given, and can be away. */
export class KeptMessages implements Publisher {
  readonly messages: PublishedMessage[] = [];
  /** So many messages are not taken. */
  failures = 0;

  publish(message: PublishedMessage): Promise<void> {
    if (this.failures > 0) {
      this.failures -= 1;
      return Promise.reject(new PublishFault(message.topic, 'the broker is away'));
    }
    this.messages.push(message);
    return Promise.resolve();
  }

  on(channel: 'state' | 'finding'): readonly Record<string, unknown>[] {
    return this.messages
      .filter(({ topic }) => topic.endsWith(`/${channel}`))
      .map(({ payload }) => JSON.parse(payload) as Record<string, unknown>);
  }
}

export const twinOver = (
  journal: Journal,
  options: { readonly clock?: TestClock; readonly profiles?: readonly Profile[] } = {},
) => {
  const time = options.clock ?? new TestClock(start);
  const directory = new ProfileDirectory(options.profiles ?? [profile()]);
  const twin = new LiveTwin({ journal, directory, prefix: 'risers/v1', time, random: seededRandom(3) });
  return { time, twin, directory };
};

/** The journal of a process that can die: from then on it does nothing more and answers nothing more. */
export class MortalJournal extends MemoryJournal {
  isDead = false;

  override async appendAll(appends: readonly Append[]): Promise<readonly Result<Appended, AppendRejection>[]> {
    return this.isDead ? new Promise(() => undefined) : super.appendAll(appends);
  }

  override async writeCheckpoint(name: string, position: Position): Promise<void> {
    return this.isDead ? new Promise(() => undefined) : super.writeCheckpoint(name, position);
  }
}

/** A contact of the riser, received now. */
export async function signal(journal: Journal, said: string, receivedAt: number, name = riser): Promise<void> {
  const [signalName, state] = said.split(' ') as [never, never];
  const event: RiserEvent = {
    type: 'signal-received',
    id: deriveEventId(['test-signal', said, String(receivedAt), name]),
    receivedAt: instant(receivedAt),
    observedAt: instant(receivedAt),
    source: '/quayside-cold-store/panel-2',
    content: { kind: 'contact', name: signalName, state },
  };
  await append(journal, event, name);
}

export async function append(journal: Journal, event: RiserEvent, name = riser): Promise<void> {
  const { id, ...rest } = { ...encodeRiserEvent(event), id: event.id as never };
  await journal.append({ stream: streamOf('riser', name), events: [{ id, ...rest }], expected: 'any' });
}

export async function recorded(journal: Journal, stream?: string): Promise<readonly RecordedEvent[]> {
  const events: RecordedEvent[] = [];
  for await (const event of journal.readAll()) if (stream === undefined || event.stream === stream) events.push(event);
  return events;
}

/** Type and time or code of each event, short enough to be compared by eye. */
export async function story(journal: Journal, kind: 'riser' | 'finding', name = riser): Promise<readonly string[]> {
  return (await recorded(journal, streamOf(kind, name))).map(({ type, data }) => {
    const finding = data['finding'] as { readonly code: string } | undefined;
    return `${type} ${finding?.code ?? (data['phase'] as string | undefined) ?? (data['receivedAt'] as string)}`;
  });
}

/** Lets everything go on that can without time passing, until the journal has long been still. */
export async function settled(journal: Journal): Promise<void> {
  let before = await journal.head();
  for (let still = 0; still < 30; still += 1) {
    await new Promise(setImmediate);
    const head = await journal.head();
    if (head !== before) still = 0;
    before = head;
  }
}

export const at = (ms: number): string => formatInstant(instant(start + ms));
