import { fail, ok } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import type { Profile } from '@tidemark/riser';
import type {
  Awaited as AwaitedInFile,
  Due as DueInFile,
  StagedFault,
  StagedScenario,
  StagedStep,
} from '@tidemark/scenario';
import type { SignalName } from '@tidemark/signals';
import type { StationCommand } from '../crew/act.ts';
import type { Injection } from '../faults/injection.ts';
import { injections } from '../faults/injections.ts';
import { figuresOf } from './figures-of.ts';
import { crewOrder } from './staged-crew.ts';
import type { Awaited, Due, StepDeed, Story, StoryFault, StoryStep } from './story.ts';

/** Something in a scenario that does not fit its riser: where in the file, and what was expected there. */
export interface StagedMistake {
  readonly path: readonly (string | number)[];
  readonly expected: string;
}

/** The story that a scenario of a plant tells about a riser; every mistake in it otherwise. */
export function stagedStory(scenario: StagedScenario, profile: Profile): Result<Story, readonly StagedMistake[]> {
  const { begin, staged, until } = scenario;
  const { crews, faults, link, panel, plant, steps } = staged;
  const mistakes: StagedMistake[] = [];
  const keep = <Value>(read: Result<Value, string>, path: StagedMistake['path']): readonly Value[] => {
    if (read.ok) return [read.value];
    mistakes.push({ path: ['given', ...path], expected: read.failure });
    return [];
  };
  const thread = steps.flatMap((step, index) => keep(storyStep(step, profile), ['steps', index]));
  const injected = faults.flatMap((fault, index) => keep(storyFault(fault, profile), ['faults', index]));
  const sent = crews.flatMap((crew, index) => keep(crewOrder(crew, profile, plant.seed + index), ['crews', index]));
  if (mistakes.length > 0) return fail(mistakes);
  return ok({
    profile,
    begin,
    length_s: (until - begin) / 1_000,
    valves: plant.valves,
    panel: { crossZoned: panel.crossZoned },
    link: {
      panel: link.name,
      seed: plant.seed,
      latency: { base_s: link.delay / 1_000, spread_s: link.spread / 1_000 },
      numbered: link.sequence,
    },
    faults: injected,
    steps: [thread],
    crews: sent,
  });
}

function storyStep(step: StagedStep, profile: Profile): Result<StoryStep, string> {
  const deed = deedOf(step, profile);
  return deed.ok ? ok({ due: dueOf(step.due), deed: deed.value }) : deed;
}

function deedOf(step: StagedStep, profile: Profile): Result<StepDeed, string> {
  if ('turn' in step) {
    const over = step.over === undefined ? {} : { over_s: step.over / 1_000 };
    return ok({ act: 'valve', valve: step.turn, to: step.to, ...over });
  }
  if ('operate' in step) return device(step.operate, 'active', { profile, point: step.point });
  if ('setBack' in step) return device(step.setBack, 'restored', { profile, point: step.point });
  if ('press' in step) return ok({ act: 'button', button: step.press });
  if ('switchOn' in step) return ok({ act: 'switch', switch: step.switchOn, on: true });
  if ('switchOff' in step) return ok({ act: 'switch', switch: step.switchOff, on: false });
  const command = commandOf(step);
  return command.ok ? ok({ act: 'station', command: command.value }) : command;
}

interface Wired {
  readonly profile: Profile;
  readonly point: number | undefined;
}

function device(signal: SignalName, state: 'active' | 'restored', wired: Wired): Result<StepDeed, string> {
  const point = pointOf(signal, wired);
  return point.ok ? ok({ act: 'device', point: point.value, state }) : point;
}

/** The point that reports a signal: the one named, or the only one. */
function pointOf(signal: SignalName, { profile, point }: Wired): Result<number, string> {
  const points = profile.points.filter((each) => each.signal === signal).map((each) => each.point);
  if (points.length === 0) return fail(`expected a signal that the riser has a point for, unlike ${signal}`);
  if (point !== undefined)
    return points.includes(point) ? ok(point) : fail(`expected a point that reports ${signal}: ${points.join(', ')}`);
  const [first, second] = points;
  return first === undefined || second !== undefined
    ? fail(`expected "point": the riser has several that report ${signal}: ${points.join(', ')}`)
    : ok(first);
}

function commandOf(step: Extract<StagedStep, { readonly command: string }>): Result<StationCommand, string> {
  const { command, expect, forSeconds, kind, reason, step: confirmed } = step;
  switch (command) {
    case 'test-begin':
      if (forSeconds === undefined) return fail('expected "forSeconds" with test-begin');
      return ok({ command, forSeconds, ...(expect === undefined ? {} : { expect }) });
    case 'impairment-begin':
      if (kind === undefined) return fail('expected "kind" with impairment-begin');
      return ok({ command, kind, ...(reason === undefined ? {} : { reason }) });
    case 'confirm':
      return confirmed === undefined ? fail('expected "step" with confirm') : ok({ command, step: confirmed });
    case 'acknowledge':
      return fail("expected a command of somebody on site; acknowledging is the desk's");
    default:
      return ok({ command });
  }
}

const dueOf = (due: DueInFile): Due => {
  if (!('at' in due))
    return {
      awaits: awaitedOf(due.when),
      wait_s: due.wait_ms / 1_000,
      ...(due.atMost_ms === undefined ? {} : { atMost_s: due.atMost_ms / 1_000 }),
    };
  return due.at.from === 'begin' ? { at_s: due.at.ms / 1_000 } : { after_s: due.at.ms / 1_000 };
};

function awaitedOf(awaited: AwaitedInFile): Awaited {
  if ('signal' in awaited) return { signal: awaited.signal, said: awaited.shows };
  return 'sight' in awaited ? { sees: awaited.sight } : { milestone: awaited.milestone };
}

function storyFault(fault: StagedFault, profile: Profile): Result<StoryFault, string> {
  const { cause, due, lasts, point, size } = fault;
  const injection = chosen(fault, injections(figuresOf(profile), profile, point === undefined ? {} : { point }));
  if (!injection.ok) return injection;
  const given = sizeOf(injection.value, size);
  if (!given.ok) return given;
  return ok({
    cause,
    row: injection.value.row,
    size: given.value,
    injected: injection.value.apply(given.value ?? 1),
    due: dueOf(due),
    ...(lasts === undefined ? {} : { lasts_s: lasts / 1_000 }),
  });
}

/** The injection that is meant; a mistake of people has no moment and stands in the steps instead. */
function chosen({ cause, form, row }: StagedFault, all: readonly Injection[]): Result<Injection, string> {
  const ways = all.filter((each) => each.cause === cause && each.where !== 'crew');
  if (ways.length === 0) return fail(`expected a cause that can be injected into this riser, unlike ${cause}`);
  const found =
    ways.find((each) => (row ?? each.row) === each.row && (form ?? '') === each.form) ?? onlyOf(ways, row, form);
  if (found !== undefined) return ok(found);
  return fail(
    `expected "row" and "form" of one of: ${ways.map((each) => `${each.row} ${each.form}`.trim()).join(', ')}`,
  );
}

const onlyOf = (
  ways: readonly Injection[],
  row: string | undefined,
  form: string | undefined,
): Injection | undefined => (ways.length === 1 && row === undefined && form === undefined ? ways[0] : undefined);

function sizeOf({ size: known }: Injection, size: number | undefined): Result<number | undefined, string> {
  if (known === undefined) return size === undefined ? ok(undefined) : fail('expected no "size": it is there or not');
  const { least, most, unit, usual, what } = known;
  if (size === undefined) return ok(usual);
  return size >= least && size <= most
    ? ok(size)
    : fail(`expected "size" between ${String(least)} and ${String(most)} ${unit} (${what})`);
}
