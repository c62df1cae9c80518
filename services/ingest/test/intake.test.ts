import { fc, test } from '@fast-check/vitest';
import { appendAllLimit_appends, JournalUnavailable, MemoryJournal } from '@tidemark/journal';
import type { Append, Journal, RecordedEvent } from '@tidemark/journal';
import { Intake, IntakeClosed, keptPayload_bytes } from '@tidemark/ingest';
import type { Arrival, JournalHealth } from '@tidemark/ingest';
import { instant, seededRandom } from '@tidemark/kernel';
import { decodeRiserEvent } from '@tidemark/riser';
import { describe, expect, it } from 'vitest';

const topic = 'risers/v1/quayside-cold-store/deluge-1/signal';
const link = 'risers/v1/quayside-cold-store/deluge-1/link';
const receivedAt = instant(1_772_439_250_000);

function intakeOf(journal: Journal): Intake {
  return new Intake({
    journal,
    now: () => receivedAt,
    random: seededRandom(1),
    backoff: { first_ms: 1, longest_ms: 2 },
    prefix: 'risers/v1',
    installed: ({ account }) => (account === 'quayside-cold-store' ? { points: [] } : undefined),
  });
}

const arrival = (payload: string | Uint8Array, more: Partial<Arrival> = {}): Arrival => ({
  topic,
  payload: typeof payload === 'string' ? Buffer.from(payload) : payload,
  receivedAt,
  omitted_bytes: 0,
  ...more,
});

const signal = (id: string, riser = 'deluge-1'): Arrival =>
  arrival(
    JSON.stringify({
      specversion: '1.0',
      id,
      source: '/quayside-cold-store/panel-2',
      type: 'riser.signal.v1',
      subject: riser,
      time: '2026-03-02T08:14:07.120Z',
      sequence: '0000001842',
      data: { signal: 'waterflow', state: 'active', point: 3, text: 'Dock' },
    }),
    { topic: `risers/v1/quayside-cold-store/${riser}/signal` },
  );

async function events(journal: Journal): Promise<readonly RecordedEvent[]> {
  const all: RecordedEvent[] = [];
  for await (const event of journal.readAll()) all.push(event);
  return all;
}

const told = (recorded: readonly RecordedEvent[]): unknown[] =>
  recorded.map(({ type, metadata }) => `${type} ${(metadata['signalId'] as string | undefined) ?? ''}`.trim());

describe('the intake', () => {
  it('records a signal so that the riser can read it back', async () => {
    const journal = new MemoryJournal();
    expect(await intakeOf(journal).admit([signal('a')])).toEqual([{ type: 'recorded' }]);

    const [event] = await events(journal);

    expect(event!.stream).toBe('riser/quayside-cold-store/deluge-1');
    expect(decodeRiserEvent(event!)).toEqual({
      ok: true,
      value: {
        type: 'signal-received',
        id: event!.id,
        receivedAt,
        observedAt: Date.UTC(2026, 2, 2, 8, 14, 7, 120),
        source: '/quayside-cold-store/panel-2',
        sequence: 1842n,
        point: 3,
        text: 'Dock',
        content: { kind: 'contact', name: 'waterflow', state: 'active' },
      },
    });
  });

  it('gives a signal the same id whenever it comes, and another to the same id of another source', async () => {
    const [one, two] = [new MemoryJournal(), new MemoryJournal()];
    await intakeOf(one).admit([signal('a')]);
    const other = arrival(Buffer.from(signal('a').payload).toString().replace('panel-2', 'panel-3'));
    await intakeOf(two).admit([signal('b'), signal('a'), other]);

    const [a] = await events(one);
    const [, again, foreign] = await events(two);

    expect(again!.id).toBe(a!.id);
    expect(foreign!.id).not.toBe(a!.id);
  });

  it('records a repeat as one, in the same group and later, however often', async () => {
    const journal = new MemoryJournal();
    const intake = intakeOf(journal);

    expect(await intake.admit([signal('a'), signal('b'), signal('a')])).toEqual([
      { type: 'recorded' },
      { type: 'recorded' },
      { type: 'repeated' },
    ]);
    await intake.admit([signal('b'), signal('c'), signal('b')]);

    const recorded = await events(journal);
    expect(told(recorded)).toEqual([
      'signal-received a',
      'signal-received b',
      'signal-repeated',
      'signal-received c',
      'signal-repeated',
      'signal-repeated',
    ]);
    expect(decodeRiserEvent(recorded[2]!)).toEqual({
      ok: true,
      value: { type: 'signal-repeated', id: recorded[2]!.id, receivedAt, source: '/quayside-cold-store/panel-2' },
    });
    expect(recorded[2]!.metadata['repeats']).toBe(recorded[0]!.id);
  });

  it('records each link message, the same state twice as well, with its session', async () => {
    const journal = new MemoryJournal();
    const up = arrival('{"link":"up","session":"s1","time":"2026-03-02T08:00:00Z"}', { topic: link });
    const down = arrival('{"link":"down"}', { topic: link });

    await intakeOf(journal).admit([up, down, up]);

    const said = (await events(journal)).map(({ type, data }) => [type, data['link'], data['session']]);
    expect(said).toEqual([
      ['link-reported', 'up', 's1'],
      ['link-reported', 'down', undefined],
      ['link-reported', 'up', 's1'],
    ]);
  });

  it('keeps what cannot be read as it was received, with the reason', async () => {
    const journal = new MemoryJournal();
    const payload = Buffer.from([0xff, 0x00, 0x7b]);

    const verdicts = await intakeOf(journal).admit([
      arrival(payload, { contentType: 'application/json' }),
      arrival(payload, { topic: 'elsewhere' }),
      signal('after'),
    ]);

    expect(verdicts).toEqual([
      { type: 'rejected', reason: 'not-utf8' },
      { type: 'rejected', reason: 'foreign-topic' },
      { type: 'recorded' },
    ]);
    const [first, second] = (await events(journal)).filter(({ type }) => type === 'signal-rejected');
    expect(first).toMatchObject({
      stream: 'quarantine/quayside-cold-store/deluge-1',
      data: {
        topic,
        receivedAt: '2026-03-02T08:14:10.000Z',
        reason: 'not-utf8',
        contentType: 'application/json',
        payloadBase64: '/wB7',
      },
    });
    expect(second!.stream).toBe('quarantine/unclaimed');
    expect(first!.data['detail']).toMatch(/UTF-8/);
  });

  it('says how much of a very large payload it left out', async () => {
    const journal = new MemoryJournal();
    await intakeOf(journal).admit([arrival(Buffer.alloc(keptPayload_bytes + 5), { omitted_bytes: 7 })]);

    const [event] = await events(journal);

    expect(event!.data['omitted_bytes']).toBe(12);
    expect(Buffer.from(event!.data['payloadBase64'] as string, 'base64')).toHaveLength(keptPayload_bytes);
  });

  it('takes a whole group of the largest rejected messages, with the longest topics, within the limits of the journal', async () => {
    const journal = new MemoryJournal();
    const worst = arrival(Buffer.alloc(keptPayload_bytes, 1), {
      topic: '\u0001'.repeat(60_000),
      contentType: '\u0001'.repeat(60_000),
    });

    const verdicts = await intakeOf(journal).admit([worst, worst, worst, signal('after')]);

    expect(verdicts.map(({ type }) => type)).toEqual(['rejected', 'rejected', 'rejected', 'recorded']);
  });

  it('tries the same events again while the journal is unavailable, and says how it stands', async () => {
    const memory = new MemoryJournal();
    const asked: (readonly Append[])[] = [];
    const journal = Object.create(memory, {
      appendAll: {
        value: async (appends: readonly Append[]) => {
          asked.push(appends);
          // The second time it is recorded, but the answer is lost.
          if (asked.length === 2) await memory.appendAll(appends);
          if (asked.length <= 3) throw new JournalUnavailable('append', new Error('disk full'));
          return memory.appendAll(appends);
        },
      },
    }) as Journal;
    const intake = intakeOf(journal);
    const health: JournalHealth[] = [];
    intake.health.subscribe((each) => health.push(each));

    await intake.admit([signal('a'), arrival('rubbish')]);

    expect(asked[1]).toEqual(asked[0]);
    expect(asked[3]).toEqual(asked[0]);
    const lastError = 'journal unavailable during append: disk full';
    expect(health).toEqual([
      { state: 'recording' },
      { state: 'refusing', since: receivedAt, lastError, attempts: 1 },
      { state: 'refusing', since: receivedAt, lastError, attempts: 2 },
      { state: 'refusing', since: receivedAt, lastError, attempts: 3 },
      { state: 'recording' },
    ]);
    expect(told(await events(memory)).filter((each) => each !== 'signal-repeated')).toEqual([
      'signal-received a',
      'signal-rejected',
    ]);
  });

  it('gives up a group that is not durable when it is closed', async () => {
    const journal = Object.create(new MemoryJournal(), {
      appendAll: { value: () => Promise.reject(new JournalUnavailable('append', new Error('gone'))) },
    }) as Journal;
    const intake = intakeOf(journal);
    const admitted = intake.admit([signal('a')]);
    intake.health.subscribe(({ state }) => {
      if (state === 'refusing') intake.close();
    });

    await expect(admitted).rejects.toBeInstanceOf(IntakeClosed);
  });

  it('refuses a group larger than one commit takes', async () => {
    const many = Array.from({ length: appendAllLimit_appends + 1 }, (_, index) => signal(String(index)));

    await expect(intakeOf(new MemoryJournal()).admit(many)).rejects.toThrow('a group is no larger');
  });

  it('counts what came in', async () => {
    const intake = intakeOf(new MemoryJournal());
    await intake.admit([signal('a'), signal('a'), arrival('rubbish')]);
    let flow: unknown;
    intake.flow.subscribe((each) => (flow = each));

    expect(flow).toEqual({ recorded: 1, repeated: 1, rejected: 1, commits: 2 });
  });

  test.prop([
    fc.array(fc.tuple(fc.nat(12), fc.constantFrom('deluge-1', 'deluge-2')), { maxLength: 40 }),
    fc.array(fc.integer({ min: 1, max: 7 }), { minLength: 1, maxLength: 6 }),
  ])('holds each signal once and in order of receipt, however the stream is cut and repeated', async (sent, cuts) => {
    const journal = new MemoryJournal();
    const intake = intakeOf(journal);
    for (let start = 0, turn = 0; start < sent.length; turn += 1) {
      const size = cuts[turn % cuts.length]!;
      await intake.admit(sent.slice(start, start + size).map(([id, riser]) => signal(String(id), riser)));
      start += size;
    }

    const recorded = await events(journal);
    for (const riser of ['deluge-1', 'deluge-2']) {
      const ids = sent.filter(([, name]) => name === riser).map(([id]) => String(id));
      const own = recorded.filter(({ stream }) => stream.endsWith(riser));
      const first = own.filter(({ type }) => type === 'signal-received').map(({ metadata }) => metadata['signalId']);
      expect(first).toEqual([...new Set(ids)]);
      expect(own.filter(({ type }) => type === 'signal-repeated')).toHaveLength(ids.length - first.length);
    }
  });
});
