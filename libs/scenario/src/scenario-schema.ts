import { parseInstant } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import { profileFile } from '@tidemark/riser';
import { z } from 'zod';
import { findingCodes, phases as phaseNames } from '@tidemark/words';
import { actNames, contactNames } from '@tidemark/signals';
import { oneOf, passOn } from './one-of.ts';
import { staged } from './staged-schema.ts';
import type { StagedGiven } from './staged-schema.ts';
import { signalWord, step } from './step-schema.ts';
import type { Step } from './step-schema.ts';
import { shift, span, stretch, when } from './time-text.ts';
import type { When } from './time-text.ts';

const sentence = z.string().min(1).max(200);

const moment = z.string().transform((text, context): Instant => {
  const at = parseInstant(text);
  if (at.ok) return at.value;
  context.addIssue({ code: 'custom', message: 'expected an RFC 3339 time such as "2026-03-02T08:00:00+01:00"' });
  return z.NEVER;
});

/** The panel whose signals a story tells. */
const panel = z.strictObject({
  /** The last part of the signals' source. */
  name: z
    .string()
    .regex(/^[a-z0-9-]{1,60}$/, { error: 'expected a-z, 0-9 and "-"' })
    .default('panel-1'),
  delay: span.prefault('0s'),
  clock: shift.prefault('0s'),
  /** Whether its signals are numbered; `lost` steps use up their number. */
  sequence: z.boolean().default(false),
});

/** A story told by what was heard. */
const heard = z.strictObject({
  panel: panel.prefault({}),
  heard: z.array(step).min(1, { error: 'expected at least one step' }).max(10_000),
});

const code = z.enum(findingCodes, { error: `expected a finding code, one of ${findingCodes.join(', ')}` });
const phase = z.enum(phaseNames, { error: `expected a phase, one of ${phaseNames.join(', ')}` });

const finding = z.strictObject({
  code,
  raised: stretch,
  /** When it is cleared; `never` within the story; `whenever`, where the story is not about that. */
  cleared: z.union([z.literal('never'), z.literal('whenever'), stretch], {
    error: 'expected "never", "whenever", a time such as "10m 30s", or two as [from, to]',
  }),
  severity: z.enum(['critical', 'high', 'advisory']).optional(),
  /** Causes (CONTRACT 8) that the finding names when it is raised; it may name more. */
  causes: z.array(z.string().min(1)).optional(),
});

const phaseExpected = z.union(
  [phase.transform((name) => ({ phase: name, at: undefined })), z.strictObject({ phase, at: stretch })],
  { error: `expected a phase, one of ${phaseNames.join(', ')}, or a phase with "at"` },
);

const lasting = z.enum(contactNames, signalWord('a signal that lasts', contactNames));
const numbered = { point: z.int().min(0).max(65_535).optional() };

/** A signal that the station receives within a stretch. */
const signalExpected = oneOf('an expected signal', {
  active: z
    .strictObject({ active: lasting, at: stretch, ...numbered })
    .transform(({ active: signal, ...rest }) => ({ signal, state: 'active' as const, ...rest })),
  restored: z
    .strictObject({ restored: lasting, at: stretch, ...numbered })
    .transform(({ restored: signal, ...rest }) => ({ signal, state: 'restored' as const, ...rest })),
  performed: z
    .strictObject({ performed: z.enum(actNames, signalWord('an act', actNames)), at: stretch, ...numbered })
    .transform(({ performed: signal, ...rest }) => ({ signal, state: 'performed' as const, ...rest })),
  never: z
    .strictObject({ never: lasting })
    .transform(({ never: signal }) => ({ signal, state: 'never' as const, at: undefined, point: undefined })),
});

const expectation = z.strictObject({
  /** Complete for every signal named: it comes as often and as is said here. Signals that are not named are free. */
  signals: z.array(signalExpected).optional(),
  /** Complete: what is not listed must not be there. */
  findings: z.array(finding),
  /** Complete and in order, the starting phase first. */
  phases: z.array(phaseExpected).min(1).optional(),
  /** The phase at the end. */
  ends: phase,
  quarantined: z.int().min(0).default(0),
  duplicates: z.int().min(0).default(0),
});

/** The riser of a story: the path of its profile beside the story, or the profile itself. */
const riser = z
  .unknown()
  .transform((value, context) =>
    typeof value === 'string'
      ? ({ file: value } as const)
      : ({ profile: passOn(profileFile, value, context) } as const),
  );

/** The file `*.yaml` of a scenario. */
export const scenarioFile = z
  .strictObject({
    /** What the story shows, as a sentence; the file is named after it. */
    claim: sentence,
    /** Why it matters, and where it is from. */
    because: z.string().max(2_000).optional(),
    riser,
    /** The moment `0s`. */
    begin: moment.prefault('2026-03-02T08:00:00Z'),
    given: oneOf('a story', { heard, plant: staged }),
    /** Until when the clock runs on: from the beginning, or with `+` from the last step. */
    until: when,
    expect: expectation,
  })
  .superRefine(({ given, expect, until }, context) => {
    if ('heard' in given) refuseDisorder(given.heard, context);
    else refuseUntold(given, until, context);
    if (expect.phases !== undefined && expect.phases.at(-1)?.phase !== expect.ends)
      context.addIssue({ code: 'custom', path: ['expect', 'ends'], message: 'expected the last of "phases"' });
  });

function refuseDisorder(steps: readonly Step[], context: z.RefinementCtx): void {
  const times = timesOf(steps);
  times.forEach((at_ms, index) => {
    if (at_ms < (times[index - 1] ?? 0))
      context.addIssue({
        code: 'custom',
        path: ['given', 'heard', index, 'at'],
        message: 'expected a time not before the step above (let it arrive late with "delay")',
      });
  });
}

/** Times that a plant's story cannot tell before it is played. */
function refuseUntold({ faults, steps }: StagedGiven, until: When, context: z.RefinementCtx): void {
  const refuse = (path: PropertyKey[], message: string): void => context.addIssue({ code: 'custom', path, message });
  if (until.from === 'before')
    refuse(['until'], 'expected a time from the beginning: when the last step is done, only the story tells');
  faults.forEach(({ due }, index) => {
    if ('at' in due && due.at.from === 'before')
      refuse(['given', 'faults', index, 'at'], 'expected a time from the beginning, or "when"');
  });
  let latest_ms = 0;
  steps.forEach(({ due }, index) => {
    if (!('at' in due) || due.at.from === 'before') return;
    if (due.at.ms < latest_ms)
      refuse(['given', 'steps', index, 'at'], 'expected a time not before that of a step above');
    latest_ms = Math.max(latest_ms, due.at.ms);
  });
}

/** When each step is, in ms from the beginning, repeats aside. */
export function timesOf(steps: readonly Step[]): readonly number[] {
  let before_ms = 0;
  return steps.map(({ at }) => {
    before_ms = at.from === 'before' ? before_ms + at.ms : at.ms;
    return before_ms;
  });
}
