import { appendAllLimit_appends, JournalUnavailable } from '@tidemark/journal';
import type { Journal } from '@tidemark/journal';
import type { Instant, Random } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import { delayBefore_ms } from '@tidemark/kernel';
import type { Backoff } from '@tidemark/kernel';
import type { DecodeOptions } from '@tidemark/signals';
import { BehaviorSubject } from 'rxjs';
import type { Observable } from 'rxjs';
import { sharesOf } from './appends.ts';
import type { Arrival, Verdict } from './arrival.ts';
import { IntakeClosed } from './fault.ts';
import type { Numbered, Planned } from './planned.ts';
import { planFor, repeatOf } from './planned.ts';

/** Whether messages can be made durable. While `refusing`, nothing is acknowledged and nothing is dropped. */
export type JournalHealth =
  | { readonly state: 'recording' }
  | { readonly state: 'refusing'; readonly since: Instant; readonly lastError: string; readonly attempts: number };

/** How many messages came in and what became of them, since this process started. */
export interface Flow {
  readonly recorded: number;
  readonly repeated: number;
  readonly rejected: number;
  /** Commits to the journal; fewer than messages, because they are grouped. */
  readonly commits: number;
}

/** What the intake needs. `installed` is the directory of profiles; time and chance come in. */
export interface IntakeOptions extends DecodeOptions {
  readonly journal: Journal;
  readonly now: () => Instant;
  readonly random: Random;
  readonly backoff?: Backoff;
}

/** The largest group: no more appends than the journal takes in one commit. */
export const largestGroup = appendAllLimit_appends;

/** A disk that was full is looked at again within seconds. Choice of this project. */
const journalBackoff: Backoff = { first_ms: 100, longest_ms: 5_000 };

/** Messages read and planned, waiting to be made durable together. */
interface Admission {
  readonly numbered: readonly Numbered[];
  readonly planned: readonly Planned[];
  readonly resolve: (verdicts: readonly Verdict[]) => void;
  readonly reject: (fault: unknown) => void;
}

/**
 * Makes messages durable, in the order in which they were handed in. They are read at once, also while a commit is
 * under way; whatever was read meanwhile shares the next one. Both doors acknowledge a message only after `admit` has
 * answered for it, and bound what they hand in before that.
 */
export class Intake {
  readonly #options: IntakeOptions;
  readonly #health = new BehaviorSubject<JournalHealth>({ state: 'recording' });
  readonly #flow = new BehaviorSubject<Flow>({ recorded: 0, repeated: 0, rejected: 0, commits: 0 });
  readonly #stop = new AbortController();
  readonly #waiting: Admission[] = [];
  #ordinal = 0;
  #running = false;

  constructor(options: IntakeOptions) {
    this.#options = options;
  }

  get health(): Observable<JournalHealth> {
    return this.#health;
  }

  get flow(): Observable<Flow> {
    return this.#flow;
  }

  /**
   * Records the messages in one commit and answers for each; a second commit follows when signals came again. While
   * the journal is unavailable the group is held and tried again, with the same ids, and what comes after it waits.
   * Rejects with `IntakeClosed` only.
   */
  admit(arrivals: readonly Arrival[]): Promise<readonly Verdict[]> {
    return new Promise((resolve, reject) => {
      invariant(arrivals.length <= largestGroup, 'a group is no larger than one commit takes');
      this.#stop.signal.throwIfAborted();
      const numbered = arrivals.map((arrival): Numbered => ({ arrival, ordinal: this.#ordinal++ }));
      const planned = numbered.map((each) => planFor(each, this.#options));
      this.#waiting.push({ numbered, planned, resolve, reject });
      if (!this.#running) void this.#run();
    });
  }

  /** Gives up what is not durable yet: it was not acknowledged and will be sent again. */
  close(): void {
    this.#stop.abort(new IntakeClosed());
    this.#health.complete();
    this.#flow.complete();
  }

  async #run(): Promise<void> {
    this.#running = true;
    while (this.#waiting.length > 0) await this.#record(this.#takeGroup());
    this.#running = false;
  }

  /** As many as share one commit; at least one. */
  #takeGroup(): readonly Admission[] {
    let messages = 0;
    const end = this.#waiting.findIndex(({ planned }) => (messages += planned.length) > largestGroup);
    return this.#waiting.splice(0, end === -1 ? this.#waiting.length : Math.max(1, end));
  }

  async #record(group: readonly Admission[]): Promise<void> {
    try {
      const planned = group.flatMap((each) => each.planned);
      const verdicts = await this.#commitWithRepeats(
        planned,
        group.flatMap((each) => each.numbered),
      );
      let start = 0;
      for (const { planned: own, resolve } of group) resolve(verdicts.slice(start, (start += own.length)));
    } catch (fault) {
      for (const { reject } of group) reject(fault);
    }
  }

  async #commitWithRepeats(planned: readonly Planned[], numbered: readonly Numbered[]): Promise<readonly Verdict[]> {
    const fresh = await this.#commit(planned);
    const verdicts = planned.map(({ verdict }) => verdict);
    const repeats: Planned[] = [];
    for (const [place, plan] of planned.entries()) {
      const each = numbered[place];
      const repeat = fresh[place] === true || each === undefined ? undefined : repeatOf(plan, each);
      if (repeat === undefined) continue;
      repeats.push(repeat);
      verdicts[place] = repeat.verdict;
    }
    if (repeats.length > 0) await this.#commit(repeats);
    this.#count(verdicts, repeats.length > 0 ? 2 : 1);
    return verdicts;
  }

  /** Appends until it is durable; for each planned event, whether it was recorded now. */
  async #commit(planned: readonly Planned[]): Promise<readonly boolean[]> {
    const since = this.#options.now();
    for (let attempts = 1; ; attempts += 1) {
      this.#stop.signal.throwIfAborted();
      const tried = await this.#try(planned);
      if (!(tried instanceof JournalUnavailable)) {
        if (attempts > 1) this.#health.next({ state: 'recording' });
        return tried;
      }
      this.#health.next({ state: 'refusing', since, lastError: messageOf(tried), attempts });
      const { random, backoff = journalBackoff } = this.#options;
      await elapse(delayBefore_ms(attempts - 1, backoff, random), this.#stop.signal);
    }
  }

  async #try(planned: readonly Planned[]): Promise<readonly boolean[] | JournalUnavailable> {
    const shares = sharesOf(planned);
    try {
      const results = await this.#options.journal.appendAll(shares.map(({ append }) => append));
      const fresh: boolean[] = [];
      for (const [index, { places }] of shares.entries()) {
        const result = results[index];
        invariant(result?.ok === true, 'an append that expects no revision and is within the limit is taken');
        for (const [each, place] of places.entries()) fresh[place] = result.value.fresh[each] === true;
      }
      return fresh;
    } catch (error) {
      if (error instanceof JournalUnavailable) return error;
      throw error;
    }
  }

  #count(verdicts: readonly Verdict[], commits: number): void {
    const flow = { ...this.#flow.value, commits: this.#flow.value.commits + commits };
    for (const { type } of verdicts) flow[type] += 1;
    this.#flow.next(flow);
  }
}

const messageOf = ({ message, cause }: JournalUnavailable): string =>
  cause instanceof Error ? `${message}: ${cause.message}` : message;

/** Waits, or rejects with the signal's reason. */
function elapse(delay_ms: number, signal: AbortSignal): Promise<void> {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => {
      signal.removeEventListener('abort', abort);
      resolve();
    }, delay_ms);
    const abort = (): void => {
      clearTimeout(timer);
      reject(signal.reason as Error);
    };
    signal.addEventListener('abort', abort, { once: true });
  });
}
