import type { ReadResp } from '@eventstore/db-client/generated/streams_pb.js';
import type { Random } from '@tidemark/kernel';
import type { Position, Revision } from '@tidemark/journal';
import { deriveEventId, JournalUnavailable } from '@tidemark/journal';
import type { BatchAppends } from './batch-appends.ts';
import { classify } from './classify.ts';
import type { Connection } from './connection.ts';
import { ForeignHistory, StreamContended } from './faults.ts';
import type { Patience } from './patience.ts';
import type { ProposedEvent } from './requests.ts';
import { streamRequest } from './requests.ts';
import { Attempts } from './retrying.ts';
import type { ServerNames } from './server-names.ts';

/** What the checkpoints work with. */
export interface CheckpointParts {
  readonly connection: Connection;
  readonly appends: BatchAppends;
  readonly names: ServerNames;
  readonly patience: Patience;
  readonly random: Random;
}

/** Where a checkpoint's stream ends. */
interface Noted {
  readonly revision: Revision | 'no-stream';
  readonly position: Position | undefined;
}

/**
 * A stream for each checkpoint, of which the server keeps the last event only. It is written with an expected revision
 * like everything else, so two processes under one name cannot move it back.
 */
export class Checkpoints {
  readonly #parts: CheckpointParts;
  /** What this process last wrote or read, to spare the look before each write. */
  readonly #noted = new Map<string, Noted>();
  /** The end of the last write of each name, which the next one waits for. */
  readonly #writing = new Map<string, Promise<void>>();

  constructor(parts: CheckpointParts) {
    this.#parts = parts;
  }

  async read(name: string): Promise<Position | undefined> {
    const noted = await this.#look(name, 'read');
    return noted.position;
  }

  async write(name: string, position: Position): Promise<void> {
    const before = this.#writing.get(name) ?? Promise.resolve();
    const writing = before.catch(() => undefined).then(() => this.#write(name, position));
    this.#writing.set(name, writing);
    await writing;
  }

  /** Resolves once every write that was asked for is done. */
  async drained(): Promise<void> {
    await Promise.allSettled(this.#writing.values());
  }

  async #write(name: string, position: Position): Promise<void> {
    const { patience } = this.#parts;
    for (let conflicts = 0; conflicts < patience.conflicts; conflicts += 1) {
      const noted = this.#noted.get(name) ?? (await this.#look(name, 'checkpoint'));
      if (noted.position !== undefined && noted.position >= position) return;
      if (noted.revision === 'no-stream') await this.#keepLastOnly(name);
      if (await this.#append(name, noted, position)) return;
      this.#noted.delete(name);
    }
    throw new JournalUnavailable('checkpoint', new StreamContended(name, patience.conflicts));
  }

  /** Whether it was written; if not, another process wrote to the stream. */
  async #append(name: string, noted: Noted, position: Position): Promise<boolean> {
    const after = noted.revision === 'no-stream' ? 0n : noted.revision + 1n;
    const data = `{"position":"${String(position)}"}`;
    const serverId = deriveEventId(['checkpoint', name, String(after), data]);
    const event = { serverId, type: 'checkpoint-written', data, metadata: '{}' };
    const done = await this.#propose(this.#parts.names.checkpoint(name), noted.revision, event);
    if (done) this.#noted.set(name, { revision: after as Revision, position });
    return done;
  }

  /** Tells the server, before the first event, to keep the last one only. Who did it before did the same. */
  async #keepLastOnly(name: string): Promise<void> {
    const data = '{"$maxCount":1}';
    const event = { serverId: deriveEventId(['checkpoint', name, data]), type: '$metadata', data, metadata: '' };
    await this.#propose(`$$${this.#parts.names.checkpoint(name)}`, 'no-stream', event);
  }

  async #propose(stream: string, expected: Revision | 'no-stream', event: ProposedEvent): Promise<boolean> {
    const { appends, patience, random } = this.#parts;
    const attempts = new Attempts('checkpoint', patience, random);
    for (;;) {
      try {
        await appends.append({ stream, expected, events: [event] });
        return true;
      } catch (error) {
        if (classify(error) === 'wrong-expected-revision') return false;
        await attempts.failed(error);
      }
    }
  }

  async #look(name: string, operation: 'read' | 'checkpoint'): Promise<Noted> {
    const { connection, names, patience, random } = this.#parts;
    const attempts = new Attempts(operation, patience, random);
    const request = streamRequest({ stream: names.checkpoint(name), direction: 'backward', from: undefined, limit: 1 });
    for (;;) {
      try {
        let noted: Noted = { revision: 'no-stream', position: undefined };
        const waits = { first_ms: patience.answer_ms, next_ms: patience.answer_ms };
        for await (const answer of connection.read(request, waits)) noted = notedIn(name, answer) ?? noted;
        this.#noted.set(name, noted);
        return noted;
      } catch (error) {
        await attempts.failed(error);
      }
    }
  }
}

const text = /^\{"position":"([0-9]{1,20})"\}$/;

function notedIn(name: string, answer: ReadResp): Noted | undefined {
  const record = answer.getEvent()?.getEvent();
  if (record === undefined) return undefined;
  const revision = BigInt(record.getStreamRevision()) as Revision;
  const position = text.exec(Buffer.from(record.getData_asU8()).toString('utf8'))?.[1];
  if (position === undefined) throw new ForeignHistory(name, revision, 'no checkpoint of this journal');
  return { revision, position: BigInt(position) as Position };
}
