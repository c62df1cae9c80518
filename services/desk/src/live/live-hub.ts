import type { Accounts, LiveEvent, LiveEventName, RiserKey, RiserList, RiserSummary } from '@tidemark/api';
import { byUrgency, isAmong, tick_ms } from '@tidemark/api';
import type { Position } from '@tidemark/journal';
import type { Instant } from '@tidemark/kernel';
import { formatInstant } from '@tidemark/kernel';
import type { Observable } from 'rxjs';
import { concat, concatMap, defer, from, interval, map, merge, share, takeWhile } from 'rxjs';
import { positionsFor } from '../access/wire-positions.ts';
import type { RiserChange, RiserViews } from '../ports.ts';
import { escalationOnTheWire } from '../reading/alerts-on-the-wire.ts';
import { summaryOnTheWire } from '../reading/riser-on-the-wire.ts';
import type { MissedReason } from './remembered-changes.ts';
import { RememberedChanges } from './remembered-changes.ts';

/** One server-sent event, ready to be written. */
export interface LiveMessage {
  readonly event: LiveEventName;
  readonly id: string | undefined;
  readonly data: string;
}

/** Who listens: whose accounts may be seen at this moment; undefined ends the stream. Asked before every message. */
export type Audience = () => Accounts | undefined;

interface Told {
  readonly change: TellableChange | undefined;
  readonly accounts: Accounts;
}

interface TellableChange extends RiserChange {
  readonly riser: RiserSummary | undefined;
}

/** Turns changes of risers into streams of events: each begins with a snapshot, or goes on where its reader left off. */
export class LiveHub {
  readonly #views: RiserViews;
  readonly #clock: () => Instant;
  readonly #changes: Observable<TellableChange>;
  readonly #remembered: RememberedChanges;

  constructor(views: RiserViews, clock: () => Instant) {
    this.#views = views;
    this.#clock = clock;
    this.#remembered = new RememberedChanges(views.changes, views.position());
    this.#changes = views.changes.pipe(
      map((change) => this.#tellable(change)),
      share(),
    );
  }

  /** The events for one reader. `lastEventId` is the position it has seen, absent for a new one. */
  connect(audience: Audience, lastEventId: string | undefined): Observable<LiveMessage> {
    let told = audience();
    const ticks = interval(tick_ms).pipe(map(() => undefined));
    // Opening and subscribing happen in one turn of the event loop, so no change falls between them.
    return concat(
      defer(() => from(told === undefined ? [] : this.#opening(told, lastEventId))),
      merge(this.#changes, ticks).pipe(
        map((change) => ({ change, accounts: audience() })),
        takeWhile((each): each is Told => each.accounts !== undefined),
        concatMap(({ change, accounts }) => {
          const before = told;
          told = accounts;
          // Other accounts: what was told before may be more than may be seen now, or less. The snapshot replaces it all.
          if (!isSame(before, accounts)) return [this.#snapshot(accounts), this.#tick(accounts)];
          return change === undefined ? [this.#tick(accounts)] : this.#messages(change, accounts);
        }),
      ),
    );
  }

  /** Every riser of these accounts as of now, most urgent first. */
  list(accounts: Accounts): RiserList {
    return {
      position: this.position(accounts)?.toString(),
      at: this.#now(),
      risers: this.#views
        .views()
        .filter(({ account }) => isAmong(accounts, account))
        .map(summaryOnTheWire)
        .toSorted(byUrgency),
    };
  }

  /** The journal as these accounts know it: of what is recorded for others, it says nothing. */
  position(accounts: Accounts): Position | undefined {
    return accounts === 'all' ? this.#views.position() : this.#remembered.position(accounts);
  }

  close(): void {
    this.#remembered.close();
  }

  #opening(accounts: Accounts, lastEventId: string | undefined): readonly LiveMessage[] {
    if (lastEventId === undefined) return [this.#snapshot(accounts), this.#tick(accounts)];
    const missed = this.#missedSince(accounts, lastEventId);
    if (typeof missed === 'string')
      return [message('resync', { reason: missed }), this.#snapshot(accounts), this.#tick(accounts)];
    const resumed = message('resumed', { at: this.#now(), changes: missed.length });
    const newest = newestOfEach(missed).flatMap((change) => this.#messages(this.#tellable(change), accounts));
    return [resumed, ...newest, this.#tick(accounts)];
  }

  /** An id that was told under other accounts cannot be read under these, and so leads to a snapshot. */
  #missedSince(accounts: Accounts, lastEventId: string): readonly RiserChange[] | MissedReason {
    const seen = positionsFor(accounts).readOwn(lastEventId);
    const head = this.#views.position();
    if (seen === undefined || head === undefined || seen > head) return 'unknown-position';
    return this.#remembered.since(accounts, seen);
  }

  #messages({ key, position, riser, escalations }: TellableChange, accounts: Accounts): readonly LiveMessage[] {
    if (!isAmong(accounts, key.account)) return [];
    // A riser that has just lost its profile is no longer in the list; the list says so.
    if (riser === undefined) return [this.#snapshot(accounts)];
    const text = positionsFor(accounts).write(position);
    const told = escalations.map((each) => message('escalated', escalationOnTheWire(key, each)));
    return [...told, message('riser', { position: text, at: this.#now(), riser }, text)];
  }

  #tellable(change: RiserChange): TellableChange {
    const view = this.#views.view(change.key);
    return { ...change, riser: view === undefined ? undefined : summaryOnTheWire(view) };
  }

  #snapshot(accounts: Accounts): LiveMessage {
    const position = this.#positionText(accounts);
    return message('snapshot', { ...this.list(accounts), position }, position);
  }

  #tick(accounts: Accounts): LiveMessage {
    const position = this.#positionText(accounts);
    return message('tick', { at: this.#now(), position, following: this.#views.following() });
  }

  #positionText(accounts: Accounts): string | undefined {
    const position = this.position(accounts);
    return position === undefined ? undefined : positionsFor(accounts).write(position);
  }

  #now(): string {
    return formatInstant(this.#clock());
  }
}

function message<Name extends LiveEventName>(event: Name, data: LiveEvent<Name>, id?: string): LiveMessage {
  return { event, id, data: JSON.stringify(data) };
}

/** A reader that was away needs each riser once, as it is now, and every escalation that it missed. */
function newestOfEach(changes: readonly RiserChange[]): readonly RiserChange[] {
  const newest = new Map<string, RiserChange>();
  for (const change of changes) {
    const name = nameOf(change.key);
    const missed = newest.get(name)?.escalations ?? [];
    newest.delete(name);
    newest.set(name, { ...change, escalations: [...missed, ...change.escalations] });
  }
  return [...newest.values()];
}

const isSame = (left: Accounts | undefined, right: Accounts): boolean =>
  left === undefined || left === 'all' || right === 'all'
    ? left === right
    : left.size === right.size && [...left].every((account) => right.has(account));

const nameOf = ({ account, riser }: RiserKey): string => `${account}/${riser}`;
