import type { Instant, Random, Result } from '@tidemark/kernel';
import { invariant, ok } from '@tidemark/kernel';
import type { Appended, EncodedAppend, Position, Revision, StreamName, WrongExpectedRevision } from '@tidemark/journal';
import { JournalUnavailable } from '@tidemark/journal';
import type { BatchAppends } from './batch-appends.ts';
import { classify } from './classify.ts';
import { ForeignHistory, StreamContended } from './faults.ts';
import type { KnownStreams } from './known-streams.ts';
import { unread } from './known-streams.ts';
import type { Patience } from './patience.ts';
import type { Plan, Planned } from './plan.ts';
import { planOf } from './plan.ts';
import { proposedOf } from './record.ts';
import type { Reads } from './reads.ts';
import type { Proposal } from './requests.ts';
import { Attempts } from './retrying.ts';
import type { ServerNames } from './server-names.ts';

/** Appends to one stream that go to the server together. */
export interface Group {
  readonly stream: StreamName;
  readonly appends: readonly EncodedAppend[];
}

/** When the group before this one was sent, and how to say that this one was. */
export interface Turn {
  readonly before: Promise<void>;
  readonly sent: () => void;
}

/** Whom the writer works with. */
export interface WriterParts {
  readonly reads: Reads;
  readonly appends: BatchAppends;
  readonly names: ServerNames;
  readonly patience: Patience;
  readonly random: Random;
  readonly known: KnownStreams;
}

/** What became of an append. */
export type Outcome = Result<Appended, WrongExpectedRevision>;

/**
 * Writes groups of appends, each as one append of the server. It decides what is fresh and computes the chain on the
 * end of the stream as it knows it, and sends exactly that revision along: if anyone else wrote there, nothing is
 * recorded, and it looks and decides anew. One group of a stream at a time, or the second would be chained to a first
 * that may be refused.
 */
export class StreamWriter {
  readonly #parts: WriterParts;

  constructor(parts: WriterParts) {
    this.#parts = parts;
  }

  /** The outcomes of the group's appends, in order. Rejects with `JournalUnavailable`; then nothing is known for certain. */
  async write({ stream, appends }: Group, now: Instant, turn: Turn): Promise<readonly Outcome[]> {
    const { known, patience } = this.#parts;
    try {
      let hasLooked = false;
      for (let conflicts = 0; conflicts < patience.conflicts; conflicts += 1) {
        const plan = planOf(appends, await known.get(stream), now);
        await turn.before;
        // A refusal is only as true as what is known; a plan that is taken is put to the server, which knows.
        const isBelieved = hasLooked || plan.planned.every(({ result }) => result.ok);
        const isRecorded = isBelieved && (plan.events.length === 0 || (await this.#send(stream, plan, turn.sent)));
        if (isRecorded) return await this.#outcomes(stream, plan.planned);
        await known.refresh(stream);
        hasLooked = true;
      }
      throw new StreamContended(stream, patience.conflicts);
    } catch (fault) {
      known.forget(stream);
      const isOurs = fault instanceof ForeignHistory || fault instanceof StreamContended;
      throw isOurs ? new JournalUnavailable('append', fault) : fault;
    } finally {
      turn.sent();
    }
  }

  /**
   * Whether the plan was recorded; if not, the stream has moved on. It is tried again with the same ids and the same
   * revision, since an answer may be lost after the commit.
   */
  async #send(stream: StreamName, plan: Plan, sent: () => void): Promise<boolean> {
    const { appends, names, patience, random } = this.#parts;
    const events = plan.events.map(({ event, hash }) => proposedOf(event, hash));
    const proposal: Proposal = { stream: names.stream(stream), expected: plan.expected, events };
    const attempts = new Attempts('append', patience, random);
    for (let tries = 1; ; tries += 1) {
      try {
        const answering = appends.append(proposal);
        sent();
        const { revision, position } = await answering;
        this.#note(stream, plan, { revision, position: tries === 1 ? position : undefined });
        return true;
      } catch (error) {
        if (classify(error) === 'wrong-expected-revision') return false;
        await attempts.failed(error);
      }
    }
  }

  /** The server's position is believed where it can only be one event's; for several, and for repeats, versions of it differ. */
  #note(stream: StreamName, { events }: Plan, answer: { revision: Revision; position: Position | undefined }): void {
    const last = events.at(-1)?.event.revision;
    if (answer.revision !== last)
      throw new ForeignHistory(stream, answer.revision, `recorded there instead of at ${String(last)}`);
    const position = (events.length === 1 ? answer.position : undefined) ?? unread;
    this.#parts.known.add(
      stream,
      events.map(({ event, hash }) => ({ ...event, hash, position })),
    );
  }

  /** Fills in the positions that only the server knows. */
  async #outcomes(stream: StreamName, planned: readonly Planned[]): Promise<readonly Outcome[]> {
    const { places } = await this.#parts.known.get(stream);
    const positions = new Map<Revision, Position>();
    const missing: Revision[] = [];
    for (const { result, last } of planned) {
      const position = places.get(last.id)?.position ?? unread;
      if (position !== unread) positions.set(last.revision, position);
      else if (result.ok) missing.push(last.revision);
    }
    await this.#readPositions(stream, missing, positions);
    return planned.map(({ result, last }) => {
      if (!result.ok) return result;
      const position = positions.get(last.revision);
      invariant(position !== undefined, 'the server holds what it said it recorded');
      return ok({ ...result.value, position });
    });
  }

  /** Adds the positions of the events at these revisions, all with one read. */
  async #readPositions(
    stream: StreamName,
    missing: readonly Revision[],
    positions: Map<Revision, Position>,
  ): Promise<void> {
    const [first, last] = [missing.reduce(earlier, missing[0] ?? none), missing.reduce(later, missing[0] ?? none)];
    if (missing.length === 0) return;
    const { places } = await this.#parts.known.get(stream);
    const part = { stream, direction: 'forward', from: first, limit: Number(last - first) + 1 } as const;
    for await (const { id, revision, position } of this.#parts.reads.stream(part)) {
      positions.set(revision, position);
      if (places.has(id)) places.set(id, { revision, position });
    }
  }
}

const none = 0n as Revision;
const earlier = (one: Revision, other: Revision): Revision => (other < one ? other : one);
const later = (one: Revision, other: Revision): Revision => (other > one ? other : one);
