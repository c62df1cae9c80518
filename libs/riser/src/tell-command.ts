import { unreachable } from '@tidemark/kernel';
import { pushed } from './bounded.ts';
import { inEpisode, openEpisode } from './episode.ts';
import type { RiserCommand, RiserEvent } from './event.ts';
import type { Mark, Picture, TestWindow } from './picture.ts';
import { altered, pictureLimits } from './picture.ts';
import { openTest } from './service.ts';
import { beginTest, endTest } from './test-windows.ts';

type CommandGiven = Extract<RiserEvent, { type: 'command-given' }>;

/** Keeps who did what. Only a command that says something of the riser makes it one that was heard of. */
export function acted(picture: Picture, { by, command }: CommandGiven, mark: Mark): Picture {
  const actions = pushed(picture.actions, { mark, by, command }, pictureLimits.actions);
  return altered(picture, { actions, begun: picture.begun ?? (saysOfRiser(command) ? mark : undefined) });
}

/** A note, a call, a dispatch or a shelving is about what people do, not about how the riser stands. */
function saysOfRiser({ command }: RiserCommand): boolean {
  switch (command) {
    case 'note':
    case 'call-recorded':
    case 'dispatch-recorded':
    case 'shelve':
    case 'unshelve':
      return false;
    default:
      return true;
  }
}

/** Tells the picture what a person decided or put on record. */
export function tellCommand(picture: Picture, event: CommandGiven, mark: Mark): Picture {
  const { command } = event;
  switch (command.command) {
    case 'test-begin':
      return testBegins(picture, command, mark);
    case 'test-end': {
      const open = openTest(picture, mark.order_ms);
      return open === undefined ? picture : endTest(inEpisode(picture, mark), open, mark);
    }
    case 'impairment-begin': {
      if (picture.impairments.some(({ end }) => end === undefined)) return picture;
      const { kind, reason } = command;
      const impairments = pushed(
        picture.impairments,
        { kind, reason, begin: mark, end: undefined },
        pictureLimits.impairments,
      );
      return openEpisode(altered(picture, { impairments }), 'impairment-begin', mark);
    }
    case 'impairment-end': {
      const impairments = picture.impairments.map((each) => (each.end === undefined ? { ...each, end: mark } : each));
      return inEpisode(altered(picture, { impairments }), mark);
    }
    case 'confirm':
      return confirmed(picture, { step: command.step, by: event.by }, mark);
    case 'check-answered':
      return answered(picture, command, { mark, by: event.by });
    case 'note':
    case 'call-recorded':
    case 'dispatch-recorded':
      return inEpisode(picture, mark);
    case 'acknowledge':
    case 'shelve':
    case 'unshelve':
      return picture;
    default:
      return unreachable(command);
  }
}

/** A second announcement while a window is open replaces it: the newest word of who is on site holds. */
function testBegins(picture: Picture, command: Extract<RiserCommand, { command: 'test-begin' }>, mark: Mark): Picture {
  const open = openTest(picture, mark.order_ms);
  const cleared = open === undefined ? picture : endTest(picture, open, mark);
  const endsAt = (mark.receivedAt + Math.round(command.forSeconds * 1_000)) as TestWindow['endsAt'];
  const test: TestWindow = {
    origin: 'station',
    begin: mark,
    endsAt,
    expect: command.expect,
    seen: new Map(),
    end: undefined,
  };
  return openEpisode(beginTest(cleared, test), 'test-begin', mark);
}

function confirmed(picture: Picture, said: { readonly step: string; readonly by: string }, mark: Mark): Picture {
  const { episode } = picture;
  if (episode === undefined) return picture;
  const map = new Map(episode.confirmed);
  if (map.size >= pictureLimits.confirmed && !map.has(said.step)) return picture;
  map.set(said.step, { mark, by: said.by });
  return inEpisode(altered(picture, { episode: { ...episode, confirmed: map } }), mark);
}

function answered(
  picture: Picture,
  { check, found }: Extract<RiserCommand, { command: 'check-answered' }>,
  said: { readonly mark: Mark; readonly by: string },
): Picture {
  const { episode } = picture;
  if (episode === undefined) return picture;
  const answers = new Map(episode.answers);
  if (answers.size >= pictureLimits.answers && !answers.has(check)) return picture;
  answers.set(check, { ...said, found });
  return inEpisode(altered(picture, { episode: { ...episode, answers } }), said.mark);
}
