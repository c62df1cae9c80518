import { appendLimit_bytes } from '@tidemark/journal';
import type { Append, NewEvent, StreamName } from '@tidemark/journal';
import type { Planned } from './planned.ts';

/** One append, and which of the planned events it carries, by their place in the group. */
export interface Share {
  readonly append: Append;
  readonly places: readonly number[];
}

interface Open {
  readonly events: NewEvent[];
  readonly places: number[];
  size_bytes: number;
}

/**
 * Groups planned events by stream, in their order, each share within the journal's limit. Nobody else retries other
 * events under these ids, and commands are appended to the same streams: so no revision is expected.
 */
export function sharesOf(group: readonly Planned[]): readonly Share[] {
  const open = new Map<StreamName, Open>();
  const shares: Share[] = [];
  for (const [place, { stream, event, size_bytes }] of group.entries()) {
    let share = open.get(stream);
    if (share === undefined || share.size_bytes + size_bytes > appendLimit_bytes) {
      share = { events: [], places: [], size_bytes: 0 };
      open.set(stream, share);
      shares.push({ append: { stream, events: share.events, expected: 'any' }, places: share.places });
    }
    share.events.push(event);
    share.places.push(place);
    share.size_bytes += size_bytes;
  }
  return shares;
}
