import { signalNames } from '@tidemark/signals';
import type { SignalName } from '@tidemark/signals';
import { z } from 'zod';
import { commandWords, initiatingNames, signalWord } from './step-schema.ts';
import { oneOf } from './one-of.ts';
import { refuse, span, when } from './time-text.ts';

/** The valves of a plant that somebody can turn. */
export const plantValves = [
  'supply',
  'prime',
  'manual-release',
  'system-drain',
  'supply-drain',
  'auxiliary-drain',
  'alarm-test',
  'alarm-line',
] as const;

/** What somebody on site can see, besides the panel's display; and what happens inside the plant, seen by nobody. */
export const sights = [
  'water-at-nozzles',
  'nozzles-dry',
  'water-at-drains',
  'drains-dry',
  'vent-running',
  'vent-dry',
  'priming-up',
  'priming-down',
  'panel-normal',
  'panel-alarm',
] as const;

/** What happens inside the plant, seen by nobody. */
export const milestones = [
  'clapper-lifted',
  'clapper-open',
  'clapper-seated',
  'relief-opened',
  'relief-shut',
  'piping-full',
  'piping-no-longer-full',
] as const;

/** What a step or a fault waits for. */
export type Awaited =
  | { readonly signal: SignalName; readonly shows: 'active' | 'restored' }
  | { readonly sight: (typeof sights)[number] }
  | { readonly milestone: (typeof milestones)[number] };

const awaitedForm = `expected a signal and its state such as "waterflow restored", or one of ${[...sights, ...milestones].join(', ')}`;

/** `waterflow restored` on the panel's display, `nozzles-dry`, `clapper-seated`. */
export const awaited = z.string({ error: awaitedForm }).transform((text, context): Awaited => {
  const sight = sights.find((each) => each === text);
  if (sight !== undefined) return { sight };
  const milestone = milestones.find((each) => each === text);
  if (milestone !== undefined) return { milestone };
  const [name, shows, ...more] = text.split(/\s+/);
  const signal = signalNames.find((each) => each === name);
  if (signal === undefined || more.length > 0) return refuse(context, awaitedForm);
  return shows === 'active' || shows === 'restored' ? { signal, shows } : refuse(context, awaitedForm);
});

/** When a step or fault of a plant is due: at a time, or once something is so. */
export const dueKeys = {
  at: when.optional(),
  when: awaited.optional(),
  /** So long after what is awaited. */
  wait: span.optional(),
  /** Nobody waits longer; the step is then done all the same. */
  atMost: span.optional(),
};

/** When a step or fault is due, read. */
export type Due =
  | { readonly at: z.output<typeof when> }
  | { readonly when: Awaited; readonly wait_ms: number; readonly atMost_ms: number | undefined };

interface DueKeys {
  readonly at?: z.output<typeof when> | undefined;
  readonly when?: Awaited | undefined;
  readonly wait?: number | undefined;
  readonly atMost?: number | undefined;
}

/** Reads the keys of {@link dueKeys}, of which there is one of `at` and `when`. */
export function dueOf({ at, when: seen, wait, atMost }: DueKeys, context: z.RefinementCtx): Due {
  if (at !== undefined && seen === undefined) {
    if (wait === undefined && atMost === undefined) return { at };
    return refuse(context, 'expected "wait" and "atMost" beside "when" only');
  }
  if (seen === undefined || at !== undefined) return refuse(context, 'expected either "at" or "when"');
  return { when: seen, wait_ms: wait ?? 0, atMost_ms: atMost };
}

const openingForm = 'expected "open", "shut" or a share of the way such as "30%"';

/** How far a valve is opened, 0 to 1. */
export const opening = z.string({ error: openingForm }).transform((text, context): number => {
  if (text === 'open') return 1;
  if (text === 'shut') return 0;
  const percent = /^(\d{1,3}(?:\.\d+)?)\s?%$/.exec(text)?.[1];
  return percent !== undefined && Number(percent) <= 100 ? Number(percent) / 100 : refuse(context, openingForm);
});

const device = z.enum(initiatingNames, signalWord('an initiating device', initiatingNames));
const point = z.int().min(0).max(65_535).optional();
const panelSwitch = z.enum(['release-disconnect', 'test-mode'], { error: 'expected release-disconnect or test-mode' });

const due = <Shape extends z.ZodRawShape>(shape: Shape) =>
  z
    .strictObject({ ...dueKeys, ...shape })
    .transform((step, context) => ({ ...step, due: dueOf(step as DueKeys, context) }));

/** One thing that people do at a plant, or that happens to its devices. Its verb says what it is. */
export const stagedStep = oneOf('a step', {
  operate: due({ operate: device, point }),
  setBack: due({ setBack: device, point }),
  turn: due({
    turn: z.enum(plantValves, { error: `expected a valve, one of ${plantValves.join(', ')}` }),
    to: opening,
    over: span.optional(),
  }),
  press: due({ press: z.enum(['silence', 'reset'], { error: 'expected silence or reset' }) }),
  switchOn: due({ switchOn: panelSwitch }),
  switchOff: due({ switchOff: panelSwitch }),
  command: due(commandWords),
});

/** One step at a plant, read. */
export type StagedStep = z.output<typeof stagedStep>;
