import type { AlertEvent } from '@tidemark/alerting';
import { initialBook } from '@tidemark/alerting';
import type { Instant } from '@tidemark/kernel';
import { speakDuration } from '@tidemark/kernel';
import type { EventReference, Phase, Picture, Profile, RiserEvent, RiserState } from '@tidemark/riser';
import { evolve, initialRiser, phaseOf, runOn } from '@tidemark/riser';
import type { Alerts, AlertsTold } from './alerts.ts';
import { answerAlerts, followAlerts, nextAlertDeadline } from './alerts.ts';
import type { Condition } from './condition.ts';
import { factsOf } from './facts.ts';
import type { Facts } from './facts.ts';
import type { Finding } from './finding.ts';
import type { Ledger } from './ledger.ts';
import { judge } from './ledger.ts';
import { learnedFrom } from './narrowing.ts';
import type { Learned } from './narrowing.ts';
import { conditionsOf, winners } from './rules/all.ts';
import { sameFigures } from './spans.ts';
import { at as timeAt } from './wording.ts';

/** What one step made known. */
export type Output =
  | { readonly type: 'phase-changed'; readonly phase: Phase; readonly at: Instant }
  | { readonly type: 'finding'; readonly finding: Finding }
  | { readonly type: 'alert'; readonly event: AlertEvent };

/** A signal that came late and changed the story. */
interface LateArrival {
  readonly ref: EventReference;
  readonly receivedAt: Instant;
  readonly lateness_ms: number;
}

/** A riser with its reasoning: a value that only its events make, the same for live, replay and time travel. */
export interface Twin {
  readonly riser: RiserState;
  readonly ledger: Ledger;
  /** What asks for a person: findings and standing signals, with what people owe them. */
  readonly alerts: Alerts;
  readonly phase: Phase;
  readonly phaseSince: Instant | undefined;
  /** What clean tests and trips taught, the open or last episode included; its own windows rest on what was known before it. */
  readonly learned: Learned;
  readonly lesson: Lesson;
  /** Late signals that changed a finding or the phase, newest last. */
  readonly lates: readonly LateArrival[];
  /** Conditions of the present story, due or not. Worked out from the rest; never stored. */
  readonly conditions: readonly Condition[];
  /** The facts the conditions were worked out from. */
  readonly facts: Facts;
  /** The next moment at which something changes though nothing is heard. */
  readonly next: Instant | undefined;
}

/** What was known before the present episode, and where in the story the next one may begin. */
interface Lesson {
  readonly before: Learned;
  readonly until_ms: number;
}

/** Late arrivals remembered. */
const lateLimit = 16;

/** A twin of a riser that nothing was heard of. */
export function initialTwin(profile: Profile, now: Instant): Twin {
  const riser = initialRiser(profile, now);
  const facts = factsOf(riser.picture, riser.sources, {});
  return {
    riser,
    learned: {},
    lesson: { before: {}, until_ms: Infinity },
    ledger: new Map(),
    alerts: { book: initialBook, seen: undefined },
    phase: 'unknown',
    phaseSince: undefined,
    lates: [],
    conditions: [],
    facts,
    next: undefined,
  };
}

/**
 * Folds one event and says what became known by it. What fell due before its receipt is said first, each at its own
 * moment, so that it makes no difference whether the station's clock was asked in between.
 */
export function step(before: Twin, event: RiserEvent): { readonly twin: Twin; readonly outputs: readonly Output[] } {
  const outputs: Output[] = [];
  const waited = runUntil(before, event.receivedAt, outputs);
  const told = rethought(waited, evolve(waited.riser, event), event);
  const now = told.riser.now;
  const late = lateArrival(waited, told, now);
  const counted = late === undefined ? told : withLate(told, late);
  const because = late === undefined ? clearingReason(counted, event) : lateReason(counted, late);
  const answered = withAlerts(counted, answerAlerts(counted, event, now), outputs);
  return { twin: settle(answered, now, { because, outputs }), outputs };
}

/** Says what falls due strictly before a moment: a signal that comes when the wait is over is not absent. */
function runUntil(twin: Twin, until: Instant, outputs: Output[]): Twin {
  let current = twin;
  for (let next = current.next; next !== undefined && next < until; next = current.next)
    current = settle(current, next, { because: '', outputs });
  return current;
}

function rethought(twin: Twin, riser: RiserState, event: RiserEvent): Twin {
  if (event.type === 'signal-repeated' || event.type === 'time-reached') return { ...twin, riser };
  const { episode } = riser.picture;
  const fresh = episode !== undefined && episode.begin.order_ms >= twin.lesson.until_ms;
  const before = !sameFigures(twin.riser.picture.profile, riser.picture.profile)
    ? {}
    : fresh
      ? twin.learned
      : twin.lesson.before;
  const facts = factsOf(riser.picture, riser.sources, before);
  return {
    ...twin,
    riser,
    facts,
    conditions: withLates(conditionsOf(facts), facts, twin.lates),
    learned: learnedFrom(before, facts),
    lesson: { before, until_ms: episode?.end?.order_ms ?? Infinity },
  };
}

interface Telling {
  readonly because: string;
  readonly outputs: Output[];
}

/** Judges the conditions at a moment, and works out when something changes next. */
function settle(twin: Twin, now: Instant, { because, outputs }: Telling): Twin {
  const all = holdingAt(twin.conditions, now);
  const holding = { all, winners: winners(all) };
  const { ledger, findings } = judge(twin.ledger, holding, twin.facts, { at: now, because });
  const phase = phaseAt(twin.riser.picture, now);
  if (phase !== twin.phase) outputs.push({ type: 'phase-changed', phase, at: now });
  const judged: Twin = { ...twin, ledger, phase, phaseSince: phase === twin.phase ? twin.phaseSince : now };
  const alerted = withAlerts(judged, followAlerts(judged, findings, now), outputs);
  return { ...alerted, next: nextChange(alerted, now) };
}

/** Takes over what the alerts came to; every finding is told with the state of its alert. */
function withAlerts(twin: Twin, { alerts, ledger, outputs: told }: AlertsTold, outputs: Output[]): Twin {
  outputs.push(...told);
  return { ...twin, alerts, ledger };
}

const holdingAt = (conditions: readonly Condition[], now: Instant): readonly Condition[] =>
  conditions.filter(({ dueAt_ms, untilAt_ms }) => dueAt_ms <= now && (untilAt_ms === undefined || now < untilAt_ms));

const phaseAt = (picture: Picture, now: Instant): Phase => phaseOf(runOn(picture, now), now);

/** The earliest moment after now at which a condition begins or ends to speak, a window ends, or a release is taken as done. */
function nextChange(twin: Twin, now: Instant): Instant | undefined {
  let next = Infinity;
  const consider = (moment: number | undefined): void => {
    if (moment !== undefined && moment > now && moment < next) next = moment;
  };
  for (const { dueAt_ms, untilAt_ms } of twin.conditions) {
    consider(dueAt_ms);
    consider(untilAt_ms);
  }
  for (const { endsAt, end } of twin.riser.picture.tests) if (end === undefined) consider(endsAt);
  if (twin.facts.release?.seen === false) consider(twin.facts.release.begin.order_ms + twin.facts.spans.release_ms);
  consider(nextAlertDeadline(twin));
  return next === Infinity ? undefined : (next as Instant);
}

/** When the twin next has something to say though nothing is heard; then a `time-reached` event is due. */
export const nextDeadline = (twin: Twin): Instant | undefined => twin.next;

/** A signal later than the latency, against the least delay of its source, that changes a finding or the phase. */
function lateArrival(before: Twin, told: Twin, now: Instant): LateArrival | undefined {
  const { late } = told.riser;
  if (late === undefined) return undefined;
  const changed =
    phaseAt(told.riser.picture, now) !== phaseAt(before.riser.picture, now) ||
    claimsAt(told, now) !== claimsAt(before, now);
  return changed ? { ref: late.ref, receivedAt: late.receivedAt, lateness_ms: late.lateness_ms } : undefined;
}

const claimsAt = (twin: Twin, now: Instant): string =>
  winners(holdingAt(twin.conditions, now))
    .filter(({ code }) => code !== 'clock-skew' && code !== 'stale-link' && code !== 'out-of-order')
    .map(({ code, occasion, severity }) => `${code} ${occasion} ${severity}`)
    .sort()
    .join('\n');

function withLate(twin: Twin, late: LateArrival): Twin {
  const lates = [...twin.lates, late].slice(-lateLimit);
  return { ...twin, lates, conditions: withLates(conditionsOf(twin.facts), twin.facts, lates) };
}

/** Late arrivals near to each other are one story. */
function withLates(
  conditions: readonly Condition[],
  facts: Facts,
  lates: readonly LateArrival[],
): readonly Condition[] {
  const last = lates.at(-1);
  if (last === undefined) return conditions;
  const near = lates.filter(({ receivedAt }) => last.receivedAt - receivedAt <= facts.spans.quiet_ms);
  return [
    ...conditions,
    {
      code: 'out-of-order',
      occasion: near[0]?.ref.id ?? last.ref.id,
      dueAt_ms: last.receivedAt,
      untilAt_ms: last.receivedAt + facts.spans.quiet_ms,
      severity: 'advisory',
      evidence: near.map(({ ref }) => ref),
      absence: false,
      say: () => ({
        explanation: `${near.length === 1 ? 'A signal' : `${near.length} signals`} came late and changed the story: the last one, ${last.ref.what}, stamped ${timeAt(facts, last.ref.at)}, came ${speakDuration(last.lateness_ms)} later than signals of its source usually take.`,
        advice:
          'Read the story again from that time on; what was said before it came may have been wrong. Look at the path of this panel.',
        caution: '',
      }),
    },
  ];
}

const lateReason = (twin: Twin, late: LateArrival): string =>
  `Put right at ${timeAt(twin.facts, late.receivedAt)} by ${late.ref.what} of ${timeAt(twin.facts, late.ref.at)}, which came late.`;

/** Why a finding is cleared, where one event is the reason. */
function clearingReason(twin: Twin, event: RiserEvent): string {
  if (event.type !== 'signal-received') return '';
  const { content } = event;
  const said = content.kind === 'contact' ? `${content.name} ${content.state}` : content.name;
  const time = timeAt(twin.facts, event.observedAt ?? event.receivedAt);
  const reopened = content.kind === 'contact' && content.name === 'supply-valve' && content.state === 'restored';
  const secondTrip =
    reopened &&
    twin.facts.flow !== undefined &&
    twin.facts.flow.end === undefined &&
    twin.facts.flow.reset !== undefined;
  return secondTrip
    ? `Cleared at ${time}: the supply valve is reported fully open, so the riser tripped a second time while it was being reopened. Water is flowing.`
    : `Cleared at ${time} by ${said}.`;
}
