/** An event as the double keeps it, in the words of the server's protocol. */
export interface LoggedEvent {
  readonly stream: string;
  readonly revision: bigint;
  readonly position: bigint;
  readonly id: string;
  readonly type: string;
  readonly data: Uint8Array;
  readonly metadata: Uint8Array;
  readonly created_ms: number;
}

/** What is to be written. */
export type LoggedProposal = Pick<LoggedEvent, 'id' | 'type' | 'data' | 'metadata'>;

/** What the writer believes of the stream, as the protocol has it. */
export type DoubleExpectation = 'any' | 'no-stream' | 'stream-exists' | bigint;

/** What came of a write. */
export type Written =
  | { readonly outcome: 'success'; readonly revision: bigint; readonly position: bigint; readonly isRepeat: boolean }
  | { readonly outcome: 'wrong-expected-version'; readonly actual: bigint | undefined }
  | { readonly outcome: 'too-large' };

/** The server's own limit on one append (23.10: `MaxAppendSize`, 1 MiB). */
export const maxAppend_bytes = 1_024 * 1_024;

/** The log begins with records of the server's own. */
const firstPosition = 1_088n;

/**
 * The log that the nodes of a double share: what a cluster has committed. It keeps the rules of writing that the server
 * documents and its code shows: an explicit revision is checked against the log, and a write whose events stand right
 * behind it already, all with the same ids, is a repeat and succeeds.
 */
export class DoubleLog {
  readonly events: LoggedEvent[] = [];
  readonly #streams = new Map<string, number[]>();
  readonly #waiting = new Set<() => void>();
  readonly #now_ms: () => number;

  constructor(now_ms: () => number) {
    this.#now_ms = now_ms;
    this.#add('$epoch-information', { id: epochId, type: '$epoch-information', data: empty, metadata: empty });
  }

  write(stream: string, expected: DoubleExpectation, proposals: readonly LoggedProposal[]): Written {
    if (sizeOf(proposals) > maxAppend_bytes) return { outcome: 'too-large' };
    const actual = this.lastRevision(stream);
    if (isAt(expected, actual)) return this.#append(stream, proposals);
    const repeated = this.#repeat(stream, expected, proposals);
    return repeated ?? { outcome: 'wrong-expected-version', actual };
  }

  lastRevision(stream: string): bigint | undefined {
    const length = this.#streams.get(stream)?.length ?? 0;
    return length === 0 ? undefined : BigInt(length - 1);
  }

  /** The events of a stream that its `$maxCount` leaves to be seen. */
  visible(stream: string): readonly LoggedEvent[] {
    const events = (this.#streams.get(stream) ?? []).flatMap((index) => this.events[index] ?? []);
    const count = this.#maxCount(stream);
    return count === undefined ? events : events.slice(-count);
  }

  /** The index of the first event at or behind the position. */
  indexAt(position: bigint): number {
    let [low, high] = [0, this.events.length];
    while (low < high) {
      const middle = (low + high) >>> 1;
      if ((this.events[middle]?.position ?? 0n) < position) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** Resolves with the next write, or when it is woken. */
  changed(): { readonly promise: Promise<void>; readonly wake: () => void } {
    let wake = (): void => undefined;
    const promise = new Promise<void>((resolve) => {
      wake = () => {
        this.#waiting.delete(wake);
        resolve();
      };
    });
    this.#waiting.add(wake);
    return { promise, wake };
  }

  /** Has everyone who waits look again. */
  wakeAll(): void {
    for (const wake of [...this.#waiting]) wake();
  }

  /** Changes the data of an event, as someone with the server's files in hand would. */
  tamper(position: bigint, data: string): void {
    const index = this.indexAt(position);
    const event = this.events[index];
    if (event?.position !== position) throw new RangeError(`no event at position ${String(position)}`);
    this.events[index] = { ...event, data: Buffer.from(data) };
  }

  #append(stream: string, proposals: readonly LoggedProposal[]): Written {
    const first = this.events.length;
    for (const proposal of proposals) this.#add(stream, proposal);
    this.wakeAll();
    const revision = this.events.at(-1)?.revision ?? 0n;
    // Of several events the place of the first: whoever takes it for the last one's is wrong about some server.
    return { outcome: 'success', revision, position: this.events[first]?.position ?? 0n, isRepeat: false };
  }

  #add(stream: string, proposal: LoggedProposal): void {
    const indexes = this.#streams.get(stream) ?? [];
    this.#streams.set(stream, indexes);
    const before = this.events.at(-1);
    const position =
      before === undefined ? firstPosition : before.position + BigInt(90 + before.data.length + before.metadata.length);
    const revision = BigInt(indexes.length);
    indexes.push(this.events.length);
    this.events.push({ ...proposal, stream, revision, position, created_ms: this.#now_ms() });
  }

  #repeat(stream: string, expected: DoubleExpectation, proposals: readonly LoggedProposal[]): Written | undefined {
    if (typeof expected !== 'bigint' && expected !== 'no-stream') return undefined;
    const first = expected === 'no-stream' ? 0 : Number(expected) + 1;
    const indexes = this.#streams.get(stream)?.slice(first, first + proposals.length) ?? [];
    const isSame =
      indexes.length === proposals.length && proposals.every(({ id }, at) => this.events[indexes[at] ?? -1]?.id === id);
    const last = this.events[indexes.at(-1) ?? -1];
    if (!isSame || last === undefined) return undefined;
    return { outcome: 'success', revision: last.revision, position: last.position, isRepeat: true };
  }

  #maxCount(stream: string): number | undefined {
    const metadata = this.events[this.#streams.get(`$$${stream}`)?.at(-1) ?? -1];
    if (metadata === undefined) return undefined;
    const { $maxCount } = JSON.parse(Buffer.from(metadata.data).toString('utf8')) as { readonly $maxCount?: number };
    return $maxCount;
  }
}

function isAt(expected: DoubleExpectation, actual: bigint | undefined): boolean {
  if (expected === 'any') return true;
  if (expected === 'stream-exists') return actual !== undefined;
  return expected === 'no-stream' ? actual === undefined : actual === expected;
}

const sizeOf = (proposals: readonly LoggedProposal[]): number =>
  proposals.reduce((sum, { type, data, metadata }) => sum + type.length + data.length + metadata.length, 0);

const empty = new Uint8Array();
const epochId = '00000000-0000-4000-8000-000000000001';
