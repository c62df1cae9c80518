import type Database from 'better-sqlite3';
import type { Instant } from '@tidemark/kernel';
import type {
  ChainedText,
  EventId,
  EventStore,
  Place,
  Position,
  Revision,
  StreamName,
  StreamTail,
} from '@tidemark/journal';
import { recordAppend } from '@tidemark/journal';
import { bytesOfHash, bytesOfId, hashOfBytes } from './bytes.ts';
import type { Answer, Group, Request } from './group.ts';

/** How many streams' ends are kept at hand. */
const endLimit_streams = 10_000;

/** The end of a stream as it will stand once the transaction commits. */
interface StreamEnd {
  readonly key: bigint;
  revision: Revision;
  hash: string;
}

/** Writes into the journal file, on the thread that calls it; there is one writer at a time. */
export class SqliteWriter implements EventStore {
  readonly #statements: ReturnType<typeof prepare>;
  readonly #transaction: Database.Transaction<(group: Group) => readonly Answer[]>;
  /** True to the file between commits, since nobody else writes it. */
  readonly #ends = new Map<StreamName, StreamEnd>();
  /** Those that this commit moves. */
  readonly #moved = new Set<StreamEnd>();

  constructor(database: Database.Database) {
    this.#statements = prepare(database);
    this.#transaction = database.transaction(({ requests, now }: Group) => {
      const answers = requests.map((request) => this.#write(request, now));
      this.#writeEnds();
      return answers;
    });
  }

  /** Makes the whole group durable with one commit, or throws and nothing was written for certain. */
  commit(group: Group): readonly Answer[] {
    if (this.#ends.size > endLimit_streams) this.#ends.clear();
    try {
      return this.#transaction.immediate(group);
    } catch (fault) {
      this.#ends.clear();
      throw fault;
    } finally {
      this.#moved.clear();
    }
  }

  tail(stream: StreamName): StreamTail | undefined {
    return this.#endOf(stream);
  }

  find(stream: StreamName, id: EventId): Place | undefined {
    const end = this.#endOf(stream);
    return end === undefined ? undefined : this.#statements.find.get(end.key, bytesOfId(id));
  }

  insert(event: ChainedText, hash: string): Position | undefined {
    const { stream, revision, id, type, data, metadata, recordedAt } = event;
    const end = this.#endOf(stream) ?? this.#begin(event, hash);
    const { changes, lastInsertRowid } = this.#statements.insert.run(
      end.key,
      revision,
      bytesOfId(id),
      type,
      data,
      metadata,
      recordedAt,
      bytesOfHash(hash),
    );
    if (changes === 0) return undefined;
    end.revision = revision;
    end.hash = hash;
    this.#moved.add(end);
    return BigInt(lastInsertRowid) as Position;
  }

  #write(request: Request, now: Instant): Answer {
    if (request.type === 'append') return recordAppend(request.append, this, now);
    this.#statements.writeCheckpoint.run(request.name, request.position);
    return undefined;
  }

  #endOf(name: StreamName): StreamEnd | undefined {
    const known = this.#ends.get(name);
    if (known !== undefined) return known;
    const row = this.#statements.end.get(name);
    if (row === undefined) return undefined;
    const end = { ...row, hash: hashOfBytes(row.hash) };
    this.#ends.set(name, end);
    return end;
  }

  #begin({ stream, revision }: ChainedText, hash: string): StreamEnd {
    const key = BigInt(this.#statements.begin.run(stream, revision, bytesOfHash(hash)).lastInsertRowid);
    const end = { key, revision, hash };
    this.#ends.set(stream, end);
    return end;
  }

  /** Once a commit, not once an event. */
  #writeEnds(): void {
    for (const { revision, hash, key } of this.#moved) this.#statements.moveEnd.run(revision, bytesOfHash(hash), key);
  }
}

const prepare = (database: Database.Database) => ({
  end: database.prepare<[string], Omit<StreamEnd, 'hash'> & { readonly hash: Buffer }>(
    'SELECT key, revision, hash FROM streams WHERE name = ?',
  ),
  begin: database.prepare<[string, bigint, Buffer]>('INSERT INTO streams (name, revision, hash) VALUES (?, ?, ?)'),
  moveEnd: database.prepare<[bigint, Buffer, bigint]>('UPDATE streams SET revision = ?, hash = ? WHERE key = ?'),
  find: database.prepare<[bigint, Buffer], Place>('SELECT revision, position FROM events WHERE stream = ? AND id = ?'),
  insert: database.prepare<[bigint, bigint, Buffer, string, string, string, number, Buffer]>(
    `INSERT INTO events (stream, revision, id, type, data, metadata, recorded_at, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (stream, id) DO NOTHING`,
  ),
  writeCheckpoint: database.prepare<[string, bigint]>(
    `INSERT INTO checkpoints (name, position) VALUES (?, ?)
     ON CONFLICT (name) DO UPDATE SET position = max(position, excluded.position)`,
  ),
});
