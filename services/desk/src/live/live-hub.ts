import type { LiveEvent, LiveEventName, RiserKey, RiserList } from '@tidemark/api';
import { byUrgency, tick_ms } from '@tidemark/api';
import type { Position } from '@tidemark/journal';
import type { Instant } from '@tidemark/kernel';
import { formatInstant } from '@tidemark/kernel';
import type { Observable, Subscription } from 'rxjs';
import { concat, defer, from, interval, map, merge, share } from 'rxjs';
import type { RiserChange, RiserViews } from '../ports.ts';
import { summaryOnTheWire } from '../reading/riser-on-the-wire.ts';

/** How many changes are remembered for readers that come back. A choice of this project: minutes of a busy site. */
export const keptChanges = 4_096;

/** One server-sent event, ready to be written. */
export interface LiveMessage {
  readonly event: LiveEventName;
  readonly id: string | undefined;
  readonly data: string;
}

/** Turns changes of risers into streams of events: each begins with a snapshot, or goes on where its reader left off. */
export class LiveHub {
  readonly #views: RiserViews;
  readonly #clock: () => Instant;
  readonly #changes: Observable<LiveMessage>;
  readonly #remembering: Subscription;
  readonly #kept: RiserChange[] = [];
  /** Everything after this position is remembered; at first there is nothing to remember. */
  #floor: Position | undefined;

  constructor(views: RiserViews, clock: () => Instant) {
    this.#views = views;
    this.#clock = clock;
    this.#floor = views.position();
    this.#remembering = views.changes.subscribe((change) => {
      this.#remember(change);
    });
    this.#changes = views.changes.pipe(
      map((change) => this.#riserMessage(change)),
      share(),
    );
  }

  /** The events for one reader. `lastEventId` is the position it has seen, absent for a new one. */
  connect(lastEventId: string | undefined): Observable<LiveMessage> {
    const ticks = interval(tick_ms).pipe(map(() => this.#tick()));
    // Opening and subscribing happen in one turn of the event loop, so no change falls between them.
    return concat(
      defer(() => from(this.#opening(lastEventId))),
      merge(this.#changes, ticks),
    );
  }

  /** Every riser as of now, most urgent first. */
  list(): RiserList {
    return {
      position: this.#views.position()?.toString(),
      at: this.#now(),
      risers: this.#views.views().map(summaryOnTheWire).toSorted(byUrgency),
    };
  }

  close(): void {
    this.#remembering.unsubscribe();
  }

  #opening(lastEventId: string | undefined): readonly LiveMessage[] {
    if (lastEventId === undefined) return [this.#snapshot(), this.#tick()];
    const missed = this.#missedSince(lastEventId);
    if (typeof missed === 'string') return [message('resync', { reason: missed }), this.#snapshot(), this.#tick()];
    const resumed = message('resumed', { at: this.#now(), changes: missed.length });
    return [resumed, ...newestOfEach(missed).map((change) => this.#riserMessage(change)), this.#tick()];
  }

  #missedSince(lastEventId: string): readonly RiserChange[] | LiveEvent<'resync'>['reason'] {
    const head = this.#views.position();
    if (!/^\d{1,20}$/.test(lastEventId) || head === undefined || BigInt(lastEventId) > head) return 'unknown-position';
    const seen = BigInt(lastEventId);
    if (this.#floor !== undefined && seen < this.#floor) return 'too-old';
    return this.#kept.filter(({ position }) => position > seen);
  }

  #remember(change: RiserChange): void {
    this.#kept.push(change);
    if (this.#kept.length > keptChanges) this.#floor = this.#kept.shift()?.position;
  }

  #snapshot(): LiveMessage {
    const list = this.list();
    return message('snapshot', list, list.position);
  }

  #riserMessage({ key, position }: RiserChange): LiveMessage {
    const view = this.#views.view(key);
    // A riser that has just lost its profile is no longer in the list; the list says so.
    if (view === undefined) return this.#snapshot();
    const text = position.toString();
    return message('riser', { position: text, at: this.#now(), riser: summaryOnTheWire(view) }, text);
  }

  #tick(): LiveMessage {
    const position = this.#views.position()?.toString();
    return message('tick', { at: this.#now(), position, following: this.#views.following() });
  }

  #now(): string {
    return formatInstant(this.#clock());
  }
}

function message<Name extends LiveEventName>(event: Name, data: LiveEvent<Name>, id?: string): LiveMessage {
  return { event, id, data: JSON.stringify(data) };
}

/** A reader that was away needs each riser once, as it is now. */
function newestOfEach(changes: readonly RiserChange[]): readonly RiserChange[] {
  const newest = new Map<string, RiserChange>();
  for (const change of changes) {
    const name = nameOf(change.key);
    newest.delete(name);
    newest.set(name, change);
  }
  return [...newest.values()];
}

const nameOf = ({ account, riser }: RiserKey): string => `${account}/${riser}`;
