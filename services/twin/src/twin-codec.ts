import { initialTwin, step } from '@tidemark/reasoning';
import type { Twin } from '@tidemark/reasoning';
import { structuredCodec } from '@tidemark/runtime';
import type { StateCodec } from '@tidemark/runtime';

/** What of a twin is stored: all but what the reasoning works out from the rest, which holds functions. */
type StoredTwin = Omit<Twin, 'conditions' | 'facts'>;

const stored = structuredCodec<StoredTwin>();

/** Twins as bytes and back, for snapshots. */
export const twinCodec: StateCodec<Twin> = {
  encode: ({ riser, ledger, alerts: { book }, phase, phaseSince, lates, learned, lesson, next }) => {
    const alerts = { book, seen: undefined };
    return stored.encode({ riser, ledger, alerts, phase, phaseSince, lates, learned, lesson, next });
  },
  decode: (bytes) => rethought(stored.decode(bytes)),
};

/**
 * Has the reasoning work out the rest again: the profile that is installed already, installed once more, changes
 * nothing and makes it look at the whole story anew.
 */
function rethought(twin: StoredTwin): Twin {
  const { profile, now } = twin.riser;
  const event = { type: 'profile-installed', id: 'snapshot', receivedAt: now, profile } as const;
  return { ...step({ ...initialTwin(profile, now), ...twin }, event).twin, ...twin };
}
