import { useQuery } from '@tanstack/react-query';
import type { RiserEvent, RiserKey, RiserView } from '@tidemark/api';
import { keyText } from '../address.ts';
import { ask, eventsSince } from '../server.ts';

/** So far before an episode its story is drawn: what led to it belongs to it. */
const leadIn_ms = 60_000;

/** The state of a riser, now or as it was. Changes told by the stream ask for it anew. */
export const useRiser = (key: RiserKey, asOf: string | undefined) =>
  useQuery({
    queryKey: ['riser', keyText(key), asOf ?? 'now'],
    queryFn: ({ signal }) => ask('getRiser', { params: key, query: { asOf }, signal }),
    staleTime: asOf === undefined ? 0 : Infinity,
  });

/** The events that the story of a riser is drawn from, oldest first. */
export function useStory(view: RiserView) {
  const since = view.episode === undefined ? undefined : before(view.episode.began);
  return useQuery({
    queryKey: ['events', keyText(view), since ?? 'latest', view.position ?? 'none'],
    queryFn: ({ signal }) => eventsSince(view, since, signal),
    // While the next drawing is fetched, the last one stays; it is replaced, never emptied.
    placeholderData: (last) => last,
    select: ({ events, complete }) => ({ complete, events: upTo(events, view) }),
  });
}

const before = (at: string): string => new Date(Date.parse(at) - leadIn_ms).toISOString();

/** A picture of the past shows nothing that came after it. */
const upTo = (events: readonly RiserEvent[], { asOf }: RiserView): readonly RiserEvent[] =>
  events.filter(({ receivedAt }) => receivedAt <= asOf);
