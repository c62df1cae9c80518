import { pushed } from './bounded.ts';
import type { Chronicle, Episode, Mark, Picture } from './picture.ts';
import { altered, pictureLimits } from './picture.ts';
import { nothingDeparts } from './service.ts';

/** Shared by all risers, since an empty map is as large as a full one. */
const nothing: ReadonlyMap<string, never> = new Map<string, never>();

/** No episode is open. */
export const emptyChronicle: Chronicle = { events: [], eventCount: 0 };

/** Opens an episode with its first departure from in-service, or joins the open one. */
export function openEpisode(picture: Picture, opener: Episode['opener'], mark: Mark): Picture {
  if (picture.episode !== undefined && picture.episode.end === undefined) return inEpisode(picture, mark);
  return altered(picture, {
    resetOwed: false,
    chronicle: { events: [mark.ref], eventCount: 1 },
    episode: {
      id: mark.ref.id,
      begin: mark,
      opener,
      end: undefined,
      alarmed: false,
      releases: [],
      flows: [],
      resets: [],
      closings: [],
      silences: [],
      initiated: nothing,
      primeBack: undefined,
      firstGoodReset: undefined,
      confirmed: nothing,
      answers: nothing,
    },
  });
}

/** Adds an event to the story of the open episode, if one is open. */
export function inEpisode(picture: Picture, mark: Mark): Picture {
  const { episode } = picture;
  if (episode === undefined || episode.end !== undefined) return picture;
  const { events, eventCount } = picture.chronicle;
  return altered(picture, {
    chronicle: { events: pushed(events, mark.ref, pictureLimits.events), eventCount: eventCount + 1 },
  });
}

/** Ends the open episode when nothing departs from in-service any more. */
export function closeEpisode(picture: Picture, mark: Mark): Picture {
  const { episode } = picture;
  if (episode === undefined || episode.end !== undefined || !nothingDeparts(picture, mark.order_ms)) return picture;
  return altered(picture, { episode: { ...episode, end: mark }, chronicle: emptyChronicle });
}
