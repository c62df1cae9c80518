import type * as wire from '@tidemark/api';
import type { AlertFigures, HandOver, RecordedAlertEvent, Span } from '@tidemark/alerting';
import { decodeAlertEvent, figuresOf, figureTargets, isAlertEvent, isStale, operatorAt } from '@tidemark/alerting';
import type { JournalReader } from '@tidemark/journal';
import { streamName } from '@tidemark/journal';
import type { Instant } from '@tidemark/kernel';
import { formatInstant, instant } from '@tidemark/kernel';
import type { RiserView } from '@tidemark/reasoning';

/** The most events that are read for one riser. A choice of this project: a busy month, within a second or two. */
const eventsLimit = 50_000;

/** A shelving lasts at most a day: so far before a span its beginning may lie. */
const before_ms = 86_400_000;

/** Whose figures, and of when. */
export interface FiguresAsked {
  readonly account: string;
  readonly span: Span;
  readonly now: Instant;
  readonly views: readonly RiserView[];
  readonly handOvers: readonly HandOver[];
}

/** The figures of an account from the recorded alert events of its risers. */
export async function accountFigures(
  journal: Pick<JournalReader, 'readStream'>,
  { account, span, now, views, handOvers }: FiguresAsked,
): Promise<wire.AccountFigures> {
  const risers = await Promise.all(
    views.map(async ({ riser }) => ({ riser, ...(await historyOf(journal, { account, riser }, span)) })),
  );
  const all = risers.flatMap(({ history }) => history).toSorted((one, other) => one.event.at - other.event.at);
  const operators = [...new Set(all.map(({ event }) => operatorAt(handOvers, event.at)))];
  return {
    account,
    from: formatInstant(span.from),
    to: formatInstant(span.to),
    complete: risers.every(({ complete }) => complete),
    all: onTheWire(figuresOf(all, span)),
    risers: risers.map(({ riser, history }) => ({ riser, figures: onTheWire(figuresOf(history, span)) })),
    operators: operators.map((operator) => ({
      ...(operator === undefined ? {} : { operator }),
      figures: onTheWire(figuresOf(all, span, ({ at }) => operatorAt(handOvers, at) === operator)),
    })),
    stale: views.flatMap((view) => staleOf(view, now)),
    targets: figureTargets.map((target) => ({ ...target })),
  };
}

interface History {
  readonly history: readonly RecordedAlertEvent[];
  readonly complete: boolean;
}

/** Oldest first, from where a shelving that bears on the span may have begun. */
async function historyOf(
  journal: Pick<JournalReader, 'readStream'>,
  { account, riser }: { readonly account: string; readonly riser: string },
  { from, to }: Span,
): Promise<History> {
  const history: RecordedAlertEvent[] = [];
  let read = 0;
  for await (const recorded of journal.readStream(streamName('finding', account, riser), { direction: 'backward' })) {
    read += 1;
    if (read > eventsLimit) return { history: history.toReversed(), complete: false };
    if (!isAlertEvent(recorded.type)) continue;
    const decoded = decodeAlertEvent(recorded);
    if (!decoded.ok) continue;
    if (decoded.value.at < from - before_ms) break;
    if (decoded.value.at <= to) history.push({ riser: `${account}/${riser}`, event: decoded.value });
  }
  return { history: history.toReversed(), complete: true };
}

const staleOf = ({ riser, alerts }: RiserView, now: Instant): wire.AccountFigures['stale'] =>
  alerts
    .filter(({ active, raisedAt }) => active && isStale(raisedAt, now))
    .map(({ id, label, raisedAt }) => ({ riser, alert: id, label, raisedAt: formatInstant(raisedAt) }));

function onTheWire({ floods, acknowledgement, ...rest }: AlertFigures): wire.AccountFigures['all'] {
  const { answered, unanswered, median_ms, p95_ms } = acknowledgement;
  return {
    ...rest,
    chattering: rest.chattering.map((each) => ({ ...each })),
    topContributors: rest.topContributors.map((each) => ({ ...each })),
    floods: floods.map(({ from, until, alarms }) => ({
      from: formatInstant(from),
      ...(until === undefined ? {} : { until: formatInstant(until) }),
      alarms,
    })),
    acknowledgement: {
      answered,
      unanswered,
      ...(median_ms === undefined ? {} : { median_ms }),
      ...(p95_ms === undefined ? {} : { p95_ms }),
    },
  };
}

/** Hand-overs as the figures take them. */
export const shiftsOf = (handOvers: readonly wire.HandOver[]): readonly HandOver[] =>
  handOvers.map(({ at, from, to }) => ({ at: instant(Date.parse(at)), from, to }));
