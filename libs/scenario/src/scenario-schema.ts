import { parseInstant } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import { profileFile } from '@tidemark/riser';
import { z } from 'zod';
import { oneOf, passOn } from './one-of.ts';
import { step } from './step-schema.ts';
import type { Step } from './step-schema.ts';
import { shift, span, stretch, when } from './time-text.ts';
import { findingCodes, phaseNames } from './words.ts';

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

/** A story told by what was heard. A story told by a plant, its crew and its faults is another member of `given`. */
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

const expectation = z.strictObject({
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
    given: oneOf('a story', { heard }),
    /** Until when the clock runs on: from the beginning, or with `+` from the last step. */
    until: when,
    expect: expectation,
  })
  .superRefine(({ given, expect }, context) => {
    const times = timesOf(given.heard);
    times.forEach((at_ms, index) => {
      if (at_ms < (times[index - 1] ?? 0))
        context.addIssue({
          code: 'custom',
          path: ['given', 'heard', index, 'at'],
          message: 'expected a time not before the step above (let it arrive late with "delay")',
        });
    });
    if (expect.phases !== undefined && expect.phases.at(-1)?.phase !== expect.ends)
      context.addIssue({ code: 'custom', path: ['expect', 'ends'], message: 'expected the last of "phases"' });
  });

/** When each step is, in ms from the beginning, repeats aside. */
export function timesOf(steps: readonly Step[]): readonly number[] {
  let before_ms = 0;
  return steps.map(({ at }) => {
    before_ms = at.from === 'before' ? before_ms + at.ms : at.ms;
    return before_ms;
  });
}
