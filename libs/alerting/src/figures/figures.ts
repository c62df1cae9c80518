import type { Instant } from '@tidemark/kernel';
import type { AlertPriority } from '@tidemark/words';
import { alertPriorities } from '@tidemark/words';
import type { OwedDuty } from '../alert.ts';
import type { Flood } from './floods.ts';
import { floodShare, floodsOf, lastPeriods, period_ms } from './floods.ts';
import type { Annunciation, RecordedAlertEvent, Span } from './history.ts';
import { annunciationsOf, isWithin } from './history.ts';

/** One source of alarms and how often it alarmed. */
export interface Contributor {
  readonly riser: string;
  readonly name: string;
  readonly label: string;
  readonly alarms: number;
  /** Of all alarms, from 0 to 1. */
  readonly share: number;
}

/** How alarms and the answers to them went in a span. */
export interface AlertFigures {
  readonly alarms: number;
  readonly perDay: number;
  readonly perTenMinutes: { readonly average: number; readonly peak: number };
  readonly floods: readonly Flood[];
  readonly floodShare: number;
  readonly chattering: readonly Contributor[];
  readonly topContributors: readonly Contributor[];
  /** Shares from 0 to 1; all 0 where nothing alarmed. */
  readonly priorityMix: Readonly<Record<AlertPriority, number>>;
  readonly acknowledgement: {
    readonly answered: number;
    readonly unanswered: number;
    readonly median_ms: number | undefined;
    readonly p95_ms: number | undefined;
  };
  readonly duties: {
    readonly inTime: number;
    readonly late: number;
    readonly lapsed: number;
    readonly escalations: number;
  };
}

const day_ms = 86_400_000;

/** Contributors named. A common number of the trade. */
const topLimit = 10;

/** Three times in a minute is chattering: third minus first (FACTS 6.25). */
const chatter = { alarms: 3, within_ms: 60_000 } as const;

/** Active for longer is stale (FACTS 6.27; sources differ at the very day, this project takes more than 24 h). */
const stale_ms = day_ms;

/** Which of the alarms are counted, where not all. */
export type Counted = (alarm: Annunciation) => boolean;

/** The figures of a span, from the whole history up to its end. `counted` picks the alarms of one riser or operator. */
export function figuresOf(
  history: readonly RecordedAlertEvent[],
  span: Span,
  counted: Counted = () => true,
): AlertFigures {
  const alarms = annunciationsOf(history).filter((alarm) => isWithin(span, alarm.at) && counted(alarm));
  const times = alarms.map(({ at }) => at);
  const length_ms = Math.max(1, span.to - span.from);
  const floods = floodsOf(times, span.to);
  const sources = contributorsOf(alarms);
  return {
    alarms: alarms.length,
    perDay: (alarms.length * day_ms) / length_ms,
    perTenMinutes: { average: (alarms.length * period_ms) / length_ms, peak: peakOf(times) },
    floods,
    floodShare: floodShare(floods, span),
    chattering: sources.filter(({ times: own }) => chatters(own)).map(plain),
    topContributors: sources.slice(0, topLimit).map(plain),
    priorityMix: mixOf(alarms),
    acknowledgement: answersOf(history, alarms, span),
    duties: dutiesOf(history, alarms),
  };
}

/** The most alarms that came in any ten minutes. */
const peakOf = (times: readonly Instant[]): number =>
  [...lastPeriods(times)].reduce((peak, { index, oldest }) => Math.max(peak, index - oldest + 1), 0);

interface Source extends Contributor {
  readonly times: readonly Instant[];
}

function contributorsOf(alarms: readonly Annunciation[]): readonly Source[] {
  const sources = new Map<string, { readonly first: Annunciation; readonly times: Instant[] }>();
  for (const alarm of alarms) {
    const key = `${alarm.riser} ${alarm.name} ${isFinding(alarm) ? '' : alarm.label}`;
    const known = sources.get(key);
    if (known === undefined) sources.set(key, { first: alarm, times: [alarm.at] });
    else known.times.push(alarm.at);
  }
  return [...sources.values()]
    .map(({ first: { riser, name, label }, times }) => ({
      riser,
      name,
      label,
      times,
      alarms: times.length,
      share: times.length / alarms.length,
    }))
    .toSorted((one, other) => other.alarms - one.alarms);
}

/** The words of a finding differ each time; the label of a point does not. */
const isFinding = ({ class: alertClass }: Annunciation): boolean =>
  alertClass === 'critical' || alertClass === 'high' || alertClass === 'advisory';

const plain = ({ riser, name, label, alarms, share }: Source): Contributor => ({ riser, name, label, alarms, share });

const chatters = (times: readonly Instant[]): boolean =>
  times.some((at, index) => {
    const last = times[index + chatter.alarms - 1];
    return last !== undefined && last - at <= chatter.within_ms;
  });

function mixOf(alarms: readonly Annunciation[]): AlertFigures['priorityMix'] {
  const shares = alertPriorities.map((priority) => {
    const own = alarms.filter((alarm) => alarm.priority === priority).length;
    return [priority, alarms.length === 0 ? 0 : own / alarms.length] as const;
  });
  return Object.fromEntries(shares) as Record<AlertPriority, number>;
}

/** Each alarm is answered by the first acknowledgement or shelving of its alert that follows it. */
function answersOf(
  history: readonly RecordedAlertEvent[],
  alarms: readonly Annunciation[],
  { to }: Span,
): AlertFigures['acknowledgement'] {
  const answers = new Map<string, Instant[]>();
  for (const { event } of history)
    if (event.type === 'alert-acknowledged' || event.type === 'alert-shelved')
      answers.set(event.id, [...(answers.get(event.id) ?? []), event.at]);
  const waits_ms = alarms.flatMap(({ id, at }): readonly number[] => {
    const answer = answers.get(id)?.find((each) => each >= at && each <= to);
    return answer === undefined ? [] : [answer - at];
  });
  return {
    answered: waits_ms.length,
    unanswered: alarms.length - waits_ms.length,
    median_ms: percentile(waits_ms, 0.5),
    p95_ms: percentile(waits_ms, 0.95),
  };
}

/** By nearest rank: the least value that so much of the others do not exceed. */
export function percentile(values: readonly number[], share: number): number | undefined {
  const sorted = values.toSorted((one, other) => one - other);
  return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)];
}

function dutiesOf(history: readonly RecordedAlertEvent[], alarms: readonly Annunciation[]): AlertFigures['duties'] {
  const ids = new Set(alarms.map(({ id }) => id));
  const due = new Map<string, Instant>();
  const owe = (id: string, owed: readonly OwedDuty[]): void => {
    for (const { duty, dueAt } of owed) due.set(`${id} ${duty}`, dueAt);
  };
  const counts = { inTime: 0, late: 0, lapsed: 0, escalations: 0 };
  for (const { event } of history) {
    if (!ids.has(event.id)) continue;
    if (event.type === 'alert-raised') owe(event.id, event.duties);
    if (event.type === 'duty-owed') owe(event.id, [event.owed]);
    if (event.type === 'duty-lapsed') counts.lapsed += 1;
    if (event.type === 'alert-escalated') counts.escalations += 1;
    if (event.type !== 'duty-fulfilled') continue;
    if (event.at <= (due.get(`${event.id} ${event.duty}`) ?? Infinity)) counts.inTime += 1;
    else counts.late += 1;
  }
  return counts;
}

/** Whether an alert that is active has been so for more than a day. */
export const isStale = (raisedAt: Instant, now: Instant): boolean => now - raisedAt > stale_ms;
