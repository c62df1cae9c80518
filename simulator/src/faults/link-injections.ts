import type { FaultSize } from '../plant/fault-recipe.ts';
import type { Injected, Injection } from './injection.ts';
import type { LinkTroubleKind } from '../link/trouble.ts';
import { noted } from './notes.ts';
import type { Note } from './notes.ts';

/** Rows K1 to K8. Ranges of sizes are choices of this project. */
export const linkInjections = (): readonly Injection[] => [
  on('link-lost', 'K1', lasting('how long the path is gone'), (lasts_s) => ({
    trouble: { kind: 'outage', meanwhile: 'dropped' },
    lasts_s,
  })),
  on('link-lost', 'K1 in part', share('of the signals dropped', 0.3), (part) => ({
    trouble: { kind: 'drop', which: { share: part } },
  })),
  on('link-stored-signals', 'K2', lasting('how long the path is gone'), (lasts_s) => ({
    trouble: { kind: 'outage', meanwhile: 'stored' },
    lasts_s,
  })),
  on('link-stored-signals', 'K2 slow', seconds('by how much everything is late', [5, 60, 3_600]), (by_s) => ({
    trouble: { kind: 'delay', by_s },
  })),
  on('link-duplicates', 'K3', share('of the signals delivered again', 0.3), (part) => ({
    trouble: { kind: 'duplicate', which: { share: part }, after_s: again_s },
  })),
  on('link-reordered', 'K4', seconds('how long a signal is held back', [0.5, 5, 120]), (by_s) => ({
    trouble: { kind: 'reorder', which: { share: heldShare }, by_s },
  })),
  on('clock-offset', 'K5', seconds('by how much the clock is ahead', [2, 120, 86_400]), (offset_s) => ({
    trouble: { kind: 'clock', offset_s },
  })),
  on('clock-offset', 'K5 behind', seconds('by how much the clock is behind', [2, 120, 86_400]), (behind_s) => ({
    trouble: { kind: 'clock', offset_s: -behind_s },
  })),
  on(
    'clock-drift',
    'K6',
    { what: 'by how much the clock gains', unit: 's/day', least: 1, usual: 60, most: 3_600 },
    (drift_s_per_day) => ({ trouble: { kind: 'clock', drift_s_per_day } }),
  ),
  on('clock-drift', 'K6 step', undefined, () => ({ trouble: { kind: 'clock', offset_s: hour_s } })),
  on('restorals-not-sent', 'K7', undefined, () => ({ trouble: { kind: 'restorals-withheld' } })),
  on(
    'repeats-suppressed',
    'K8',
    { what: 'activations forwarded in a minute', unit: 'count', least: 1, usual: 2, most: 10 },
    (after) => ({ trouble: { kind: 'repeats-withheld', after: Math.round(after), within_s: minute_s } }),
  ),
];

/** A clock that is put forward in summer, on a panel that knows no seasons. */
const hour_s = 3_600;
const minute_s = 60;

/** A message is sent again when it was not acknowledged; a third of all is held back (choices of this project). */
const again_s = 3;
const heldShare = 0.3;

const lasting = (what: string): FaultSize => seconds(what, [10, 1_800, 86_400]);

const seconds = (what: string, [least, usual, most]: readonly [number, number, number]): FaultSize => ({
  what,
  unit: 's',
  least,
  usual,
  most,
});

const share = (what: string, usual: number): FaultSize => ({ what, unit: 'share', least: 0.02, usual, most: 1 });

function on(
  cause: Injection['cause'],
  note: Note,
  size: FaultSize | undefined,
  trouble: (size: number) => { readonly trouble: LinkTroubleKind; readonly lasts_s?: number },
): Injection {
  const apply = (given: number): Injected => ({ where: 'link', ...trouble(given) });
  return { cause, ...noted(note), where: 'link', ...(size === undefined ? {} : { size }), apply };
}
