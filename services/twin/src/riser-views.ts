import type { Position } from '@tidemark/journal';
import type { Instant } from '@tidemark/kernel';
import type { AlertEvent, AlertPolicy } from '@tidemark/alerting';
import { policyOf, viewOf } from '@tidemark/reasoning';
import type { RiserView } from '@tidemark/reasoning';
import type { RiserKey } from '@tidemark/signals';
import { Subject } from 'rxjs';
import type { Observable } from 'rxjs';
import type { ProfileDirectory } from './profile-directory.ts';
import type { TwinChange, TwinHost } from './riser-fold.ts';
import { keyOf, nameOf } from './riser-fold.ts';

/** A riser's view changed by the event at this position. */
export interface ViewChange {
  readonly key: RiserKey;
  readonly position: Position;
  /** Inaction that it made known. */
  readonly escalations: readonly Extract<AlertEvent, { type: 'alert-escalated' }>[];
}

/** What the views are made from. */
export interface RiserViewsOptions {
  readonly host: TwinHost;
  readonly directory: ProfileDirectory;
  readonly now: () => Instant;
}

/** Every riser that has a profile, for readers. */
export class LiveRiserViews {
  readonly #options: RiserViewsOptions;
  readonly #changes = new Subject<ViewChange>();

  constructor(options: RiserViewsOptions) {
    this.#options = options;
  }

  /** In journal order, each told when `views` shows it. It never fails: a fault shows in `following`. */
  get changes(): Observable<ViewChange> {
    return this.#changes;
  }

  /** As of now, in the order of their names. */
  views(): readonly RiserView[] {
    const { directory } = this.#options;
    return [...directory.profiles.values()].flatMap((profile) => this.view(profile) ?? []);
  }

  view(key: RiserKey): RiserView | undefined {
    const { host, directory, now } = this.#options;
    const name = nameOf(key);
    const twin = host.get(name);
    return twin === undefined || !directory.has(name) ? undefined : viewOf(twin, now());
  }

  /** What a riser's alerts are owed, shelved and escalated by. */
  alertPolicy(key: RiserKey): AlertPolicy | undefined {
    const twin = this.#options.host.get(nameOf(key));
    return twin && policyOf(twin.riser.profile);
  }

  /** The journal position that `views` is true for; none in an empty journal. */
  position(): Position | undefined {
    return this.#options.host.position();
  }

  /** Whether the views follow the journal. */
  following(): 'catching-up' | 'live' | 'down' {
    const { state } = this.#options.host.health;
    return state === 'stopped' ? 'down' : state;
  }

  /** To be called with each change, once the host has it. */
  tell({ key, recorded, outputs }: TwinChange): void {
    const name = keyOf(key);
    const escalations = outputs.flatMap((output) =>
      output.type === 'alert' && output.event.type === 'alert-escalated' ? [output.event] : [],
    );
    if (this.#options.directory.has(key)) this.#changes.next({ key: name, position: recorded.position, escalations });
  }

  close(): void {
    this.#changes.complete();
  }
}
