import { alertPriorities } from '@tidemark/words';
import * as z from 'zod';
import { moment } from './basics.ts';

const share = z.number().min(0).max(1);
const count = z.number().int().nonnegative();

const contributor = z.object({
  riser: z.string().meta({ description: '`account/riser`.' }),
  name: z.string(),
  label: z.string(),
  alarms: count,
  share,
});

/** How alarms and the answers to them went in a span. */
export const alertFigures = z.object({
  alarms: count,
  perDay: z.number().nonnegative(),
  perTenMinutes: z.object({ average: z.number().nonnegative(), peak: count }),
  floods: z.array(z.object({ from: moment, until: moment.optional(), alarms: count })),
  floodShare: share,
  chattering: z.array(contributor),
  topContributors: z.array(contributor),
  priorityMix: z.object(
    Object.fromEntries(alertPriorities.map((each) => [each, share])) as Record<
      (typeof alertPriorities)[number],
      typeof share
    >,
  ),
  acknowledgement: z.object({
    answered: count,
    unanswered: count,
    median_ms: z.number().optional(),
    p95_ms: z.number().optional(),
  }),
  duties: z.object({ inTime: count, late: count, lapsed: count, escalations: count }),
});

/** The figures of an account, of each of its risers, and of each person who had its shift. */
export const accountFigures = z.object({
  account: z.string(),
  from: moment,
  to: moment,
  complete: z.boolean().meta({ description: 'False where so much was recorded that the oldest part was left out.' }),
  all: alertFigures,
  risers: z.array(z.object({ riser: z.string(), figures: alertFigures })),
  operators: z.array(
    z.object({
      operator: z.string().optional().meta({ description: 'Absent: no hand-over says who had the shift.' }),
      figures: alertFigures,
    }),
  ),
  stale: z
    .array(z.object({ riser: z.string(), alert: z.string(), label: z.string(), raisedAt: moment }))
    .meta({ description: 'Active for more than 24 h, as of now.' }),
  targets: z.array(z.object({ measure: z.string(), figure: z.string(), source: z.string() })),
});

/** The figures of an account. */
export type AccountFigures = z.infer<typeof accountFigures>;

/** The longest span that figures are worked out for. A choice of this project: a month. */
const figuresLimit_ms = 31 * 86_400_000;

/** Which span of time, and perhaps of which riser; without it the last 24 hours. */
export const figuresQuery = z.object({
  from: moment.optional(),
  to: moment.optional().meta({ description: 'Without it: now.' }),
});

/** Why a span cannot be answered, if it cannot. */
export const isFiguresSpan = (from_ms: number, to_ms: number): boolean =>
  from_ms < to_ms && to_ms - from_ms <= figuresLimit_ms;
