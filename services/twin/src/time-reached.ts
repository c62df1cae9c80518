import { deriveEventId } from '@tidemark/journal';
import type { Append, Journal } from '@tidemark/journal';
import type { Random } from '@tidemark/kernel';
import { formatInstant, instant, invariant } from '@tidemark/kernel';
import { nextDeadline } from '@tidemark/reasoning';
import type { Twin } from '@tidemark/reasoning';
import { encodeRiserEvent } from '@tidemark/riser';
import { DeadlineKeeper, untilDone } from '@tidemark/runtime';
import type { Due, Time } from '@tidemark/runtime';
import type { PartWatch } from './part-watch.ts';
import { streamOf } from './riser-fold.ts';
import type { RiserName, TwinHost } from './riser-fold.ts';

/**
 * How long after a deadline it is recorded as reached: what was received before it may still be on its way into the
 * journal, and should stand there first. The event itself carries the deadline. A choice of this project; a commit
 * takes milliseconds.
 */
export const commitGrace_ms = 500;

/** What the deadlines of risers need. */
export interface RiserDeadlinesOptions {
  readonly journal: Journal;
  readonly host: TwinHost;
  readonly time: Time;
  readonly random: Random;
  readonly watch: PartWatch;
}

/**
 * Lets time pass for risers of which nothing is heard: a deadline of a twin that the station's clock has reached is
 * recorded as `time-reached`, and comes back through the fold like everything else. So a replay sees the same.
 */
export class RiserDeadlines {
  readonly #options: RiserDeadlinesOptions;
  readonly #keeper: DeadlineKeeper;
  readonly #stop = new AbortController();

  constructor(options: RiserDeadlinesOptions) {
    this.#options = options;
    this.#keeper = new DeadlineKeeper({ time: options.time, reached: (due) => this.#record(due) });
  }

  get ended(): Promise<undefined> {
    return this.#keeper.ended;
  }

  /** Looks at a twin's next deadline, after it may have changed. */
  look(riser: RiserName, twin: Twin): void {
    const deadline = nextDeadline(twin);
    this.#keeper.set(riser, deadline === undefined ? undefined : instant(deadline + commitGrace_ms));
  }

  /** Begins with what fell due while no station ran; resolves when that was recorded and folded. */
  async start(): Promise<void> {
    await this.#keeper.start();
  }

  async stop(): Promise<void> {
    this.#stop.abort();
    await this.#keeper.stop();
  }

  async #record(due: readonly Due[]): Promise<void> {
    const { journal, host, time, random, watch } = this.#options;
    const appends = due.map(timeReached);
    const appended = await untilDone(() => journal.appendAll(appends), {
      timer: time,
      random,
      onFault: watch.failed,
      stop: this.#stop.signal,
    });
    if (!appended.ok) return;
    watch.succeeded();
    for (const result of appended.value) {
      invariant(result.ok, 'an append that expects no revision and is small is taken');
      await host.foldedUpTo(result.value.position);
    }
  }
}

/** Nobody records another event under this id, so no revision is expected. */
function timeReached({ key, at }: Due): Append {
  const stream = streamOf('riser', key);
  const receivedAt = instant(at - commitGrace_ms);
  const id = deriveEventId(['time-reached', stream, formatInstant(receivedAt)]);
  const event = { id, ...encodeRiserEvent({ type: 'time-reached', id, receivedAt }), metadata: { schema: 1 } };
  return { stream, events: [event], expected: 'any' };
}
