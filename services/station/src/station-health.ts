import type { PartHealth } from '@tidemark/desk';
import type { IngestHealth } from '@tidemark/ingest';
import type { PartState, TwinHealth } from '@tidemark/twin';
import { combineLatest, map } from 'rxjs';
import type { Observable, Subscription } from 'rxjs';

/** The parts of the station as they are now, in words for staff. */
export class StationHealth {
  readonly #subscription: Subscription;
  #parts: readonly PartHealth[] = [];

  constructor(ingest: Observable<IngestHealth>, twin: Observable<TwinHealth>) {
    this.#subscription = combineLatest([ingest, twin])
      .pipe(map(([door, risers]) => [...partsOfIngest(door), ...partsOfTwin(risers)]))
      .subscribe((parts) => (this.#parts = parts));
  }

  get parts(): readonly PartHealth[] {
    return this.#parts;
  }

  close(): void {
    this.#subscription.unsubscribe();
  }
}

function partsOfIngest({ journal, external }: IngestHealth): readonly PartHealth[] {
  const door: PartHealth =
    journal.state === 'recording'
      ? { part: 'signals', state: 'up', detail: 'Signals are recorded as they come.' }
      : {
          part: 'signals',
          state: 'down',
          detail: `Signals cannot be recorded and are not acknowledged: ${journal.lastError}`,
        };
  if (external === undefined) return [door];
  const broker: PartHealth =
    external.state === 'live'
      ? { part: 'broker', state: 'up', detail: 'The external broker is connected.' }
      : {
          part: 'broker',
          state: 'down',
          detail: `The external broker is ${external.state}${external.state === 'down' ? `: ${external.lastError}` : '.'}`,
        };
  return [door, broker];
}

function partsOfTwin({ following, recording, publishing, leftOut }: TwinHealth): readonly PartHealth[] {
  const follows: PartHealth =
    following.state === 'live'
      ? { part: 'risers', state: 'up', detail: 'The risers follow the journal.' }
      : {
          part: 'risers',
          state: 'down',
          detail: `The risers are ${following.state === 'down' ? `cut off from the journal: ${following.lastError}` : following.state}`,
        };
  return [
    follows,
    outward('findings', recording, 'What is found is recorded.'),
    outward('publishing', publishing, 'States and findings are published.'),
    ...(leftOut === 0 ? [] : [unread(leftOut)]),
  ];
}

const outward = (part: string, state: PartState, well: string): PartHealth =>
  state.state === 'up' ? { part, state: 'up', detail: well } : { part, state: 'down', detail: state.lastError };

const unread = (count: number): PartHealth => ({
  part: 'journal',
  state: 'down',
  detail: `${String(count)} recorded events cannot be read by this build, and are left out of what is shown.`,
});
