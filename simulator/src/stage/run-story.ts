import type { LinkSetup } from '../link/link-setup.ts';
import { Stage } from './stage.ts';
import type { Heard, StageOptions } from './stage.ts';
import type { Story } from './story.ts';
import type { Moment } from './trace.ts';
import type { Truth } from './truth.ts';

/** A story that was played to its end. */
export interface PlayedStory {
  /** What reached the station until the end, in order of receipt. */
  readonly heard: readonly Heard[];
  /** Who sent what was heard. */
  readonly sender: LinkSetup;
  readonly truth: Truth;
  /** Empty unless the story was traced. */
  readonly trace: readonly Moment[];
}

/** Plays a story from its beginning to its end. */
export function runStory(story: Story, options: StageOptions = {}): PlayedStory {
  const stage = new Stage(story, options);
  const heard = stage.advanceTo(story.length_s);
  return { heard, sender: stage.sender, truth: stage.truth, trace: stage.trace };
}
