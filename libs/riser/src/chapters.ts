import type { Mark, Picture } from './picture.ts';
import type { StoryEvent } from './tell.ts';
import { tell } from './tell.ts';

/** One told event and where it stands in the story. */
export interface Entry {
  readonly event: StoryEvent;
  readonly mark: Mark;
  /** Place in the order of receipt; breaks ties. */
  readonly index: number;
  readonly era: number;
}

/**
 * A few entries in the order of the story, and the picture before the first: from there a signal that is a little late
 * is put in its place, without a picture kept for each entry.
 */
interface Chapter {
  readonly before: Picture;
  readonly entries: readonly Entry[];
}

/** What is told so far: what can still be put in another order, chapter by chapter, and the picture it gives. */
export interface Story {
  readonly chapters: readonly Chapter[];
  readonly picture: Picture;
}

/** Entries of a chapter while an episode is open. Fewer keep more pictures, more are told anew for a late signal. */
const chapterLength = 16;

/** Entries kept while an episode is open; beyond this the oldest half is told for good. */
const entryLimit = 512;

/** The picture from which the story can be told anew. */
const baseOf = ({ chapters, picture }: Story): Picture => chapters[0]?.before ?? picture;

/** All entries, in order. */
export const entriesOf = ({ chapters }: Story): readonly Entry[] => chapters.flatMap(({ entries }) => entries);

const isOpen = ({ episode }: Picture): boolean => episode !== undefined && episode.end === undefined;

/** Puts an event where it belongs in the story, and tells anew what stands after it. */
export function place(story: Story, entry: Entry): Story {
  const last = story.chapters.at(-1)?.entries.at(-1);
  return last === undefined || inOrder(last, entry) < 0 ? append(story, entry) : insert(story, entry);
}

/** At rest an entry is a chapter of its own, so that it can be forgotten without telling another one. */
function append({ chapters, picture }: Story, entry: Entry): Story {
  const last = chapters.at(-1);
  const joins = last !== undefined && last.entries.length < chapterLength && isOpen(picture);
  return {
    chapters: joins
      ? chapters.with(-1, { before: last.before, entries: last.entries.concat([entry]) })
      : chapters.concat([{ before: picture, entries: [entry] }]),
    picture: tell(picture, entry.event, entry.mark),
  };
}

function insert(story: Story, entry: Entry): Story {
  const comesAfter = (each: Entry): boolean => inOrder(each, entry) > 0;
  const at = story.chapters.findIndex(({ entries }) => entries.some(comesAfter));
  const chapter = story.chapters[at];
  if (chapter === undefined) return append(story, entry);
  const later = story.chapters.slice(at).flatMap(({ entries }) => entries);
  const inside = later.findIndex(comesAfter);
  return toldAfter(
    { chapters: story.chapters.slice(0, at), picture: chapter.before },
    later.toSpliced(inside, 0, entry),
  );
}

const toldAfter = (story: Story, entries: readonly Entry[]): Story => entries.reduce(append, story);

/** Tells the whole of it anew, from entries in any order. */
export const retold = (story: Story, entries: readonly Entry[]): Story =>
  toldAfter({ chapters: [], picture: baseOf(story) }, entries.toSorted(inOrder));

const inOrder = (one: Entry, other: Entry): number =>
  one.mark.order_ms - other.mark.order_ms || sequenceOrder(one, other) || one.index - other.index;

const sequenceOrder = (one: Entry, other: Entry): number => {
  if (one.event.type !== 'signal-received' || other.event.type !== 'signal-received') return 0;
  const [first, second] = [one.event.sequence, other.event.sequence];
  if (first === undefined || second === undefined || one.event.source !== other.event.source) return 0;
  return first < second ? -1 : first > second ? 1 : 0;
};

/**
 * Forgets what can no longer be put in another order: at rest everything received before the horizon, in an episode
 * only what exceeds the limit.
 */
export function pruned(story: Story, horizon_ms: number): Story {
  const { chapters, picture } = story;
  if (chapters.length === 0) return story;
  if (isOpen(picture)) {
    const count = chapters.reduce((sum, { entries }) => sum + entries.length, 0);
    return count > entryLimit ? dropped(story, entryLimit / 2) : story;
  }
  let old = 0;
  for (const { entries } of chapters)
    for (const { mark } of entries) {
      if (mark.receivedAt >= horizon_ms) return dropped(story, old);
      old += 1;
    }
  return { chapters: nothing, picture };
}

const nothing: readonly Chapter[] = [];

/** Tells the oldest entries for good. */
function dropped(story: Story, count: number): Story {
  if (count === 0) return story;
  let left = count;
  let from = 0;
  for (const { entries } of story.chapters) {
    if (entries.length > left) break;
    left -= entries.length;
    from += 1;
  }
  const chapters = story.chapters.slice(from);
  const first = chapters[0];
  if (first === undefined || left === 0) return { chapters, picture: story.picture };
  const before = first.entries
    .slice(0, left)
    .reduce((picture, { event, mark }) => tell(picture, event, mark), first.before);
  return { chapters: chapters.with(0, { before, entries: first.entries.slice(left) }), picture: story.picture };
}
