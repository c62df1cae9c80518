import type { Dimension } from '@tidemark/kernel';
import { parseQuantity, unitsOf } from '@tidemark/kernel';
import { signalNames } from '@tidemark/signals';
import type { AlertClass, Duty } from '@tidemark/words';
import { alertClasses, duties } from '@tidemark/words';
import { z } from 'zod';

/** `"90 psi"` and the like, into the SI unit of the dimension. */
const quantityOf = (dimension: Dimension, example: string) =>
  z.string({ error: `expected a ${dimension} with its unit, e.g. "${example}"` }).transform((text, context) => {
    const parsed = parseQuantity(text);
    if (parsed.ok && parsed.value.dimension === dimension && parsed.value.si > 0) return parsed.value.si;
    context.addIssue({
      code: 'custom',
      message: `expected a positive ${dimension} with its unit (${unitsOf(dimension).join(', ')}), e.g. "${example}"`,
    });
    return z.NEVER;
  });

const pressure = quantityOf('pressure', '90 psi');
const flow = quantityOf('flow', '1000 gpm');
const length = quantityOf('length', '20 ft');
const volume = quantityOf('volume', '0.6 L');
const nozzleConstant = quantityOf('nozzle-constant', '5.6 gpm/psi^0.5');

const seconds = (fallback: number, most = 31_622_400) =>
  z
    .number({ error: 'expected a number of seconds' })
    .min(0, { error: 'expected at least 0 seconds' })
    .max(most, { error: `expected at most ${most} seconds` })
    .default(fallback);

const slug = z
  .string({ error: 'expected lower-case letters, digits and hyphens, at most 63, not beginning with a hyphen' })
  .regex(/^[a-z0-9][a-z0-9-]{0,62}$/, {
    error: 'expected lower-case letters, digits and hyphens, at most 63, not beginning with a hyphen',
  });

const knownZone = (zone: string): boolean => {
  try {
    new Intl.DateTimeFormat('en', { timeZone: zone });
    return true;
  } catch {
    return false;
  }
};

const label = z.string().min(1).max(120);

const point = z.strictObject({
  point: z.int({ error: 'expected a whole number' }).min(0).max(65_535),
  signal: z.enum(signalNames, { error: `expected a signal name, one of ${signalNames.join(', ')}` }),
  label: label.optional(),
  location: label.optional(),
  /** Initiating points release unless this says no. */
  releases: z.boolean().default(true),
});

/** MODEL 1.8 gives the ranges and the origin of each default; where a key is left out, libs/hydraulics' default holds. */
const pipes = z.strictObject({
  diameter: length.optional(),
  height: length.optional(),
  volume: volume.optional(),
  hazenWilliamsC: z.number().min(50).max(160).optional(),
});

const trim = z.strictObject({
  alarmTestSource: z.enum(['upstream', 'downstream']).default('upstream'),
  primeValveClosedForRestoration: z.boolean().default(false),
  primeSource: z.enum(['upstream', 'downstream']).default('upstream'),
  manualReset: z.boolean().default(false),
  primeOrifice: length.optional(),
  primeChamberVolume: volume.optional(),
  alarmLineVolume: volume.optional(),
  bleedHole: length.optional(),
  primeLowBelow: pressure.optional(),
  waterflowAbove: pressure.optional(),
  waterflowRestoresBelow: pressure.optional(),
});

const contact = z.strictObject({
  name: label,
  role: label.optional(),
  phone: label.optional(),
  email: z.email().optional(),
});

const deadline = z.union(
  [
    z.literal('off'),
    z.strictObject({
      afterSeconds: z.number().min(0).max(31_622_400).optional(),
      withinSeconds: z.number().positive().max(31_622_400),
    }),
  ],
  { error: 'expected off, or { withinSeconds: 90 } with afterSeconds where it begins later' },
);

const deadlines = z.strictObject(
  Object.fromEntries(duties.map((duty) => [duty, deadline.optional()])) as Record<Duty, z.ZodOptional<typeof deadline>>,
);

/** A shelf holds nothing longer than a day; an emergency is never shelved, so it has no key here. */
const shelf = z.number().min(0).max(86_400).optional();

/** How this site handles alerts, where its authority or its custom says otherwise than the defaults of libs/alerting. */
const alerting = z.strictObject({
  deadlines: z
    .strictObject(
      Object.fromEntries(alertClasses.map((each) => [each, deadlines.optional()])) as Record<
        AlertClass,
        z.ZodOptional<typeof deadlines>
      >,
    )
    .optional(),
  shelvingSeconds: z.strictObject({ high: shelf, medium: shelf, low: shelf }).optional(),
  escalation: z
    .array(z.strictObject({ afterSeconds: z.number().min(0).max(604_800), to: label }))
    .min(1)
    .max(6)
    .refine(
      (steps) => steps.every((step, index) => index === 0 || step.afterSeconds > (steps[index - 1]?.afterSeconds ?? 0)),
      {
        error: 'expected each step later than the one before it',
      },
    )
    .optional(),
  retriggerSeconds: z.number().min(0).max(3_600).optional(),
});

/** The file `*.riser.yaml`: keys, units and defaults of CONTRACT section 3. */
export const profileFile = z
  .strictObject({
    account: slug,
    riser: slug,
    site: z.strictObject({
      name: label,
      timeZone: z.string().refine(knownZone, { error: 'expected an IANA time zone, e.g. Europe/Oslo' }),
    }),
    release: z.enum(['electric', 'wet-pilot', 'dry-pilot'], {
      error: 'expected electric, wet-pilot or dry-pilot',
    }),
    points: z.array(point).min(1).max(512),
    contactId: z
      .strictObject({
        account: z.string().regex(/^[0-9A-Fa-f]{4}$/, { error: 'expected four digits 0-9, A-F in quotes' }),
      })
      .optional(),
    supply: z
      .strictObject({ static: pressure, residual: pressure, at: flow })
      .refine(({ static: still, residual }) => residual < still, {
        error: 'expected the residual pressure below the static pressure',
        path: ['residual'],
      })
      .prefault({ static: '100 psi', residual: '80 psi', at: '1000 gpm' }),
    nozzles: z
      .strictObject({ count: z.int().min(1).max(2_000), k: nozzleConstant })
      .prefault({ count: 20, k: '5.6 gpm/psi^0.5' }),
    riserPipe: pipes.prefault({}),
    panel: z
      .strictObject({
        restorals: z.enum(['contact', 'reset']).default('contact'),
        supervisoryRestorals: z.enum(['contact', 'reset']).default('contact'),
        releaseDelaySeconds: seconds(0, 3_600),
        waterflowRetardSeconds: seconds(0, 90),
        resetSettleSeconds: seconds(20, 600),
        verificationSeconds: seconds(0, 120),
        refusesResetWhileActive: z.boolean().default(false),
      })
      .prefault({}),
    link: z.strictObject({ supervisionSeconds: seconds(3_600), latencySeconds: seconds(10, 3_600) }).prefault({}),
    trim: trim.prefault({}),
    drains: z.strictObject({ supply: z.boolean().default(true), system: z.boolean().default(true) }).prefault({}),
    limits: z
      .strictObject({
        scanSeconds: seconds(1, 60),
        releaseToleranceSeconds: seconds(10, 600),
        drainsOpenWithinSeconds: seconds(600),
        quietSeconds: seconds(7_200),
        reopenSeconds: seconds(120),
        supplyLeftClosedSeconds: seconds(600),
        supervisoryMissingSeconds: seconds(90),
        releaseDisabledSeconds: seconds(7_200),
        clockSkewSeconds: seconds(60),
        chattering: z
          .strictObject({ activations: z.int().min(2).max(20).default(3), inSeconds: seconds(60) })
          .prefault({}),
        troubleSeconds: seconds(14_400),
        impairmentSeconds: seconds(36_000),
      })
      .prefault({}),
    alerting: alerting.optional(),
    contacts: z.array(contact).max(20).default([]),
    instructions: z.array(z.string().min(1).max(500)).max(20).default([]),
  })
  .superRefine((profile, context) => {
    const seen = new Map<number, number>();
    profile.points.forEach(({ point: number }, index) => {
      if (seen.has(number))
        context.addIssue({
          code: 'custom',
          path: ['points', index, 'point'],
          message: `expected a number of its own: point ${number} stands above already`,
        });
      seen.set(number, index);
    });
  });
