import type Database from 'better-sqlite3';
import type { Instant } from '@tidemark/kernel';
import type {
  AllPage,
  AllPageRequest,
  PagedStore,
  Position,
  Revision,
  StoredEvent,
  StreamName,
  StreamPageRequest,
  StreamPrefix,
  StreamTail,
} from '@tidemark/journal';
import { JournalUnavailable } from '@tidemark/journal';
import { hashOfBytes, idOfBytes } from './bytes.ts';

/** A page ends early once it holds this much, so that large events do not pile up in memory. */
const pageLimit_bytes = 4_000_000;

/** How many positions one page looks at for wanted streams, so that a rare prefix does not hold up the process. */
const lookLimit_positions = 10_000n;

interface EventRow {
  readonly position: bigint;
  readonly name: string;
  readonly revision: bigint;
  readonly id: Buffer;
  readonly type: string;
  readonly data: string;
  readonly metadata: string;
  readonly recorded_at: bigint;
  readonly hash: Buffer;
}

const columns = `position, name, events.revision AS revision, id, type, data, metadata, recorded_at, events.hash AS hash`;

/** The largest integer SQLite holds: beyond every revision and position. */
const beyondAll = 2n ** 63n - 1n;

interface Span {
  readonly order: 'ASC' | 'DESC';
  /** Both included. */
  readonly from: bigint;
  readonly to: bigint;
  readonly prefixes: readonly StreamPrefix[] | undefined;
  readonly limit: number;
}

interface Rows {
  readonly events: readonly StoredEvent[];
  /** There may be more: a limit ended it. */
  readonly isCut: boolean;
}

/** Pages of a journal file. It holds no statement open between pages, so it never holds back the writer's log. */
export class SqlitePages implements PagedStore {
  readonly #database: Database.Database;
  readonly #statements = new Map<string, Database.Statement<unknown[], EventRow>>();
  readonly #head: Database.Statement<[], bigint | null>;
  readonly #checkpoint: Database.Statement<[string], bigint>;

  constructor(database: Database.Database) {
    this.#database = database;
    this.#head = database.prepare<[], bigint | null>('SELECT max(position) FROM events').pluck();
    this.#checkpoint = database.prepare<[string], bigint>('SELECT position FROM checkpoints WHERE name = ?').pluck();
  }

  readonly head = (): Position | undefined => reading(() => this.#head.get() ?? undefined) as Position | undefined;

  readonly checkpoint = (name: string): Position | undefined =>
    reading(() => this.#checkpoint.get(name)) as Position | undefined;

  tails(stream: StreamName | undefined): ReadonlyMap<StreamName, StreamTail> {
    const sql = 'SELECT name, revision, hash FROM streams WHERE name = coalesce(?, name)';
    return reading(() => {
      const rows = this.#database.prepare<unknown[], { name: StreamName; revision: Revision; hash: Buffer }>(sql);
      return new Map(
        rows.all(stream ?? null).map(({ name, revision, hash }) => [name, { revision, hash: hashOfBytes(hash) }]),
      );
    });
  }

  streamPage({ stream, direction, from, limit }: StreamPageRequest): readonly StoredEvent[] {
    const [bound, order, start] = direction === 'forward' ? ['>=', 'ASC', 0n] : ['<=', 'DESC', beyondAll];
    const sql = `SELECT ${columns} FROM streams CROSS JOIN events ON stream = key
      WHERE name = ? AND events.revision ${bound} ? ORDER BY events.revision ${order}`;
    return this.#take(sql, [stream, from ?? start], limit).events;
  }

  allPage(request: AllPageRequest): AllPage {
    // The head first: what another process records after it was read is left to the next page.
    const head = this.head();
    if (head === undefined) return { events: [], lookedTo: request.after, atEnd: true };
    return request.direction === 'forward' ? this.#forward(request, head) : this.#backward(request, head);
  }

  #forward({ after = 0n as Position, prefixes, limit }: AllPageRequest, head: Position): AllPage {
    const to = prefixes === undefined ? head : smaller(head, after + lookLimit_positions);
    const { events, isCut } = this.#between({ order: 'ASC', from: after + 1n, to, prefixes, limit });
    const lookedTo = isCut ? lastPosition(events) : larger(after, to);
    return { events, lookedTo: lookedTo as Position, atEnd: lookedTo >= head };
  }

  #backward({ after, prefixes, limit }: AllPageRequest, head: Position): AllPage {
    const to = after === undefined ? head : smaller(head, after - 1n);
    const from = prefixes === undefined ? 0n : larger(0n, to - lookLimit_positions);
    const { events, isCut } = this.#between({ order: 'DESC', from, to, prefixes, limit });
    const lookedTo = isCut ? lastPosition(events) : from;
    return { events, lookedTo: lookedTo as Position, atEnd: !isCut && from === 0n };
  }

  #between({ order, from, to, prefixes, limit }: Span): Rows {
    const wanted = (prefixes ?? []).map(() => '(name >= ? AND name < ?)').join(' OR ');
    const filter = prefixes === undefined ? 'TRUE' : wanted === '' ? 'FALSE' : wanted;
    const sql = `SELECT ${columns} FROM events CROSS JOIN streams ON key = stream
      WHERE position BETWEEN ? AND ? AND (${filter}) ORDER BY position ${order}`;
    return this.#take(sql, [from, to, ...(prefixes ?? []).flatMap(rangeOf)], limit);
  }

  #take(sql: string, values: readonly unknown[], limit: number): Rows {
    return reading(() => {
      const statement = this.#statements.get(sql) ?? this.#database.prepare<unknown[], EventRow>(sql);
      this.#statements.set(sql, statement);
      const events: StoredEvent[] = [];
      let size_bytes = 0;
      for (const row of statement.iterate(...values)) {
        events.push(storedOf(row));
        size_bytes += row.data.length + row.metadata.length;
        if (events.length >= limit || size_bytes >= pageLimit_bytes) return { events, isCut: true };
      }
      return { events, isCut: false };
    });
  }
}

const storedOf = (row: EventRow): StoredEvent => ({
  stream: row.name as StreamName,
  revision: row.revision as Revision,
  position: row.position as Position,
  id: idOfBytes(row.id),
  type: row.type,
  data: row.data,
  metadata: row.metadata,
  recordedAt: Number(row.recorded_at) as Instant,
  hash: hashOfBytes(row.hash),
});

function reading<Value>(work: () => Value): Value {
  try {
    return work();
  } catch (cause) {
    throw new JournalUnavailable('read', cause);
  }
}

/** Every name that begins with `riser/` sorts from `riser/` up to `riser0`: `0` is the character after `/`. */
const rangeOf = (prefix: StreamPrefix): readonly string[] => [prefix, `${prefix.slice(0, -1)}0`];

const lastPosition = (events: readonly StoredEvent[]): bigint => events.at(-1)?.position ?? 0n;
const smaller = (one: bigint, other: bigint): bigint => (one < other ? one : other);
const larger = (one: bigint, other: bigint): bigint => (one > other ? one : other);
