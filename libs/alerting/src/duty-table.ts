import type { AlertClass, Duty } from '@tidemark/words';

/** Where a figure comes from, and how sure that is. */
export interface Source {
  readonly text: string;
  /** `found`: read in a public page. `clause-from-memory`: the figure was, the section was not. The rest say so themselves. */
  readonly certainty: 'found' | 'clause-from-memory' | 'from-memory' | 'choice-of-this-project' | 'set-by-the-profile';
}

/** One thing that people owe an alert of a class, and by when. */
export interface DutyRule {
  readonly class: AlertClass;
  readonly duty: Duty;
  /** So long after the alert began it opens. */
  readonly opensAfter_s: number;
  /** So long after it opened it is due. */
  readonly within_s: number;
  /** Whether it is owed where a riser's profile says nothing. */
  readonly byDefault: boolean;
  /** Whether it lapses when the condition returns to normal: `before-opening` only while it has not opened yet. */
  readonly lapses: 'on-return' | 'before-opening' | 'never';
  readonly source: Source;
}

/** Stands beside every deadline that is shown. */
export const deadlinesCaution =
  'These deadlines are defaults drawn from what could be read of NFPA 72, chapter 26, and choices of this project where ' +
  'it gives no figure. Section numbers move between editions, and the full text was not at hand. Local codes, the ' +
  'edition in force and the authority having jurisdiction decide: have every figure checked, and set it in the profile.';

const hour_s = 3_600;

const nfpa72 = (clause: string, certainty: Source['certainty'], more = ''): Source => ({
  text: `NFPA 72 (2016 layout) ${clause}${more === '' ? '' : `; ${more}`}`,
  certainty,
});

const atOnce = 'the clause says at once, the figure is a choice of this project';
const choice = (why: string): Source => ({
  text: `Choice of this project: ${why}`,
  certainty: 'choice-of-this-project',
});

type Row = readonly [
  AlertClass,
  Duty,
  Pick<DutyRule, 'within_s' | 'source'> & Partial<Pick<DutyRule, 'opensAfter_s' | 'byDefault' | 'lapses'>>,
];

const rows: readonly Row[] = [
  ['alarm', 'acknowledge', { within_s: 60, source: choice('leaves half a minute for the retransmission') }],
  // FACTS 1.31. A verification call buys no time: it must be over within the same 90 s (1.32).
  ['alarm', 'retransmit', { within_s: 90, source: nfpa72('26.2.1 and A.26.2.1.2', 'found') }],
  // FACTS 1.35.
  ['alarm', 'notify-subscriber', { within_s: 300, source: nfpa72('26.3.8.1.2', 'clause-from-memory', atOnce) }],
  [
    'alarm',
    'attend-on-site',
    {
      within_s: 2 * hour_s,
      lapses: 'on-return',
      source: nfpa72('26.3.8.1.2', 'clause-from-memory', 'where a reset by hand is needed'),
    },
  ],
  [
    'alarm',
    'notify-authority',
    {
      within_s: hour_s,
      byDefault: false,
      source: nfpa72(
        '26.3.8.1.2',
        'clause-from-memory',
        'where it is required; the figure is a choice of this project',
      ),
    },
  ],
  ['supervisory', 'acknowledge', { within_s: 180, source: choice('three minutes') }],
  // FACTS 1.36.
  [
    'supervisory',
    'call-designated-person',
    { within_s: 300, source: nfpa72('26.3.8.3', 'clause-from-memory', atOnce) },
  ],
  [
    'supervisory',
    'attend-on-site',
    {
      within_s: 2 * hour_s,
      lapses: 'on-return',
      source: nfpa72('26.3.8.3', 'clause-from-memory', 'unless a scheduled procedure explains it'),
    },
  ],
  [
    'supervisory',
    'notify-authority',
    {
      opensAfter_s: 8 * hour_s,
      within_s: 300,
      lapses: 'before-opening',
      source: nfpa72('26.3.8.3', 'from-memory', 'out of service 8 h'),
    },
  ],
  ['trouble', 'acknowledge', { within_s: 300, source: choice('five minutes') }],
  // FACTS 1.37.
  ['trouble', 'call-designated-person', { within_s: 300, source: nfpa72('26.3.8.4', 'clause-from-memory', atOnce) }],
  [
    'trouble',
    'attend-on-site',
    {
      within_s: 4 * hour_s,
      lapses: 'on-return',
      source: nfpa72('26.3.8.4', 'clause-from-memory', 'where it is needed'),
    },
  ],
  [
    'trouble',
    'notify-subscriber',
    {
      opensAfter_s: 8 * hour_s,
      within_s: 300,
      lapses: 'before-opening',
      source: nfpa72('26.3.8.4', 'clause-from-memory', 'interruption of more than 8 h'),
    },
  ],
  [
    'trouble',
    'notify-fire-service',
    {
      opensAfter_s: 8 * hour_s,
      within_s: 300,
      lapses: 'before-opening',
      source: nfpa72('26.3.8.4', 'clause-from-memory', 'interruption of more than 8 h'),
    },
  ],
  ['critical', 'acknowledge', { within_s: 60, source: choice('as an alarm') }],
  ['critical', 'call-designated-person', { within_s: 300, source: choice('as a supervisory signal') }],
  ['high', 'acknowledge', { within_s: 300, source: choice('five minutes') }],
  ['advisory', 'acknowledge', { within_s: 8 * hour_s, source: choice('within the shift') }],
];

/** What is owed by when (FACTS 1.31 to 1.37). Data: a riser's profile may change each figure, or end a duty. */
export const dutyTable: readonly DutyRule[] = rows.map(([alertClass, duty, rule]) => ({
  class: alertClass,
  duty,
  opensAfter_s: 0,
  byDefault: true,
  lapses: 'never',
  ...rule,
}));
