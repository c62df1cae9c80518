import type { AlertEvent } from '@tidemark/alerting';
import { initialBook } from '@tidemark/alerting';
import type { Instant } from '@tidemark/kernel';
import type { Phase, Picture, Profile, RiserEvent, RiserState } from '@tidemark/riser';
import { evolve, initialRiser, phaseOf, runOn } from '@tidemark/riser';
import type { Alerts, AlertsTold } from './alerts.ts';
import { answerAlerts, followAlerts, nextAlertDeadline } from './alerts.ts';
import type { Condition } from './condition.ts';
import { factsOf } from './facts.ts';
import type { Facts } from './facts.ts';
import type { Finding } from './finding.ts';
import type { Ledger } from './ledger.ts';
import { emptyLedger, judge } from './ledger.ts';
import { learnedFrom } from './narrowing.ts';
import type { Learned } from './narrowing.ts';
import type { LateArrival } from './late-arrival.ts';
import { lateReason, outOfOrder, withArrival } from './late-arrival.ts';
import { anyPoint, changedParts, partsOf } from './parts.ts';
import type { Parts } from './parts.ts';
import { conditionsOf, judgeRules, winners } from './rules/all.ts';
import type { ByRule } from './rules/all.ts';
import { sameFigures, spansOf } from './spans.ts';
import { at as timeAt } from './wording.ts';

/** What one step made known. */
export type Output =
  | { readonly type: 'phase-changed'; readonly phase: Phase; readonly at: Instant }
  | { readonly type: 'finding'; readonly finding: Finding }
  | { readonly type: 'alert'; readonly event: AlertEvent };

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
  /** The facts of the present story. They and what follows are worked out from the rest and never stored. */
  readonly facts: Facts;
  /** What each rule makes of the facts. */
  readonly byRule: ByRule;
  /** The conditions that follow, due or not. */
  readonly conditions: readonly Condition[];
  /** Those of them that held when the findings were last judged. */
  readonly holding: readonly Condition[];
  /** The next moment at which something changes though nothing is heard. */
  readonly next: Instant | undefined;
}

/** What was known before the present episode, and where in the story the next one may begin. */
interface Lesson {
  readonly before: Learned;
  readonly until_ms: number;
}

/** A twin of a riser that nothing was heard of. */
export function initialTwin(profile: Profile, now: Instant): Twin {
  const riser = initialRiser(profile, now);
  return {
    riser,
    learned: nothingLearned,
    lesson: { before: nothingLearned, until_ms: Infinity },
    ledger: emptyLedger,
    alerts: { book: initialBook, seen: undefined },
    phase: 'unknown',
    phaseSince: undefined,
    lates: [],
    facts: factsOf(riser.picture, riser.sources, spansOf(profile, nothingLearned)),
    byRule: [],
    conditions: [],
    holding: [],
    next: undefined,
  };
}

const nothingLearned: Learned = {};

/**
 * Folds one event and says what became known by it. What fell due before its receipt is said first, each at its own
 * moment, so that it makes no difference whether the station's clock was asked in between.
 */
export function step(before: Twin, event: RiserEvent): { readonly twin: Twin; readonly outputs: readonly Output[] } {
  const outputs: Output[] = [];
  const waited = runUntil(before, event.receivedAt, outputs);
  const { twin: told, changed } = rethought(waited, evolve(waited.riser, event), event);
  const now = told.riser.now;
  const late = lateArrival(waited, told, now);
  const counted = late === undefined ? told : withLate(told, late);
  const answered = answering(counted, answerAlerts(counted, event, now), outputs);
  return { twin: settle(answered, now, { reason: { event, late }, changed, outputs }), outputs };
}

/** Says what falls due strictly before a moment: a signal that comes when the wait is over is not absent. */
function runUntil(twin: Twin, until: Instant, outputs: Output[]): Twin {
  let current = twin;
  for (let next = current.next; next !== undefined && next < until; next = current.next)
    current = settle(current, next, { reason: undefined, changed: 0, outputs });
  return current;
}

interface Rethought {
  readonly twin: Twin;
  readonly changed: Parts;
}

/** Asks the rules anew whose facts changed. */
function rethought(twin: Twin, riser: RiserState, event: RiserEvent): Rethought {
  if (event.type === 'signal-repeated' || event.type === 'time-reached')
    return { twin: { ...twin, riser }, changed: 0 };
  const { picture, sources } = riser;
  const before = knownBefore(twin, picture);
  const isSame = twin.facts.profile === picture.profile && before === twin.lesson.before;
  const facts = factsOf(picture, sources, isSame ? twin.facts.spans : spansOf(picture.profile, before));
  const changed = changedParts(twin.facts, facts);
  const byRule = judgeRules(facts, twin.byRule, changed);
  const conditions =
    byRule === twin.byRule ? twin.conditions : [...conditionsOf(facts, byRule), ...outOfOrder(twin.lates, facts)];
  const until_ms = picture.episode?.end?.order_ms ?? Infinity;
  const lesson =
    before === twin.lesson.before && until_ms === twin.lesson.until_ms ? twin.lesson : { before, until_ms };
  const learned = lesson === twin.lesson && (changed & lessonParts) === 0 ? twin.learned : learnedFrom(before, facts);
  const { ledger, alerts, phase, phaseSince, lates, holding, next } = twin;
  // Member by member: spreading an object costs many times as much, and this is done with every signal.
  return {
    twin: {
      riser,
      ledger,
      alerts,
      phase,
      phaseSince,
      learned,
      lesson,
      lates,
      facts,
      byRule,
      conditions,
      holding,
      next,
    },
    changed,
  };
}

/** What a lesson is drawn from. */
const lessonParts = partsOf('episode', ...anyPoint);

/** What clean tests had taught before the present episode. */
function knownBefore({ riser, learned, lesson }: Twin, { profile, episode }: Picture): Learned {
  if (!sameFigures(riser.picture.profile, profile)) return nothingLearned;
  const isFresh = episode !== undefined && episode.begin.order_ms >= lesson.until_ms;
  return isFresh ? learned : lesson.before;
}

/** What a clearing is explained by: an event, or a late signal that put the order right; mere time explains nothing. */
interface Reason {
  readonly event: RiserEvent;
  readonly late: LateArrival | undefined;
}

interface Telling {
  readonly reason: Reason | undefined;
  /** What changed of the facts since the findings were last judged. */
  readonly changed: Parts;
  readonly outputs: Output[];
}

/** Judges the conditions at a moment, and works out when something changes next. */
function settle(twin: Twin, now: Instant, { reason, changed, outputs }: Telling): Twin {
  const { riser, phase: before, learned, lesson, lates, facts, byRule, conditions } = twin;
  const all = holdingAt(twin.conditions, now);
  const isSettled = (changed & observedParts) === 0 && isSameList(all, twin.holding);
  const judged = isSettled
    ? { ledger: twin.ledger, findings: [] }
    : judge(twin.ledger, { all, winners: winners(all) }, facts, {
        at: now,
        because: () => (reason === undefined ? '' : wordingOf(reason, facts)),
      });
  const phase = phaseAt(riser.picture, now);
  if (phase !== before) outputs.push({ type: 'phase-changed', phase, at: now });
  const followed = followAlerts({ riser, alerts: twin.alerts, ledger: judged.ledger }, judged.findings, now);
  const { alerts, ledger } = followed;
  outputs.push(...followed.outputs);
  const phaseSince = phase === before ? twin.phaseSince : now;
  const next = nextChange({ riser, alerts, facts, conditions }, now);
  return {
    riser,
    ledger,
    alerts,
    phase,
    phaseSince,
    learned,
    lesson,
    lates,
    facts,
    byRule,
    conditions,
    holding: all,
    next,
  };
}

/** Takes over what a command did to the alerts. */
function answering(twin: Twin, { alerts, ledger, outputs: told }: AlertsTold, outputs: Output[]): Twin {
  if (alerts.book === twin.alerts.book && ledger === twin.ledger && told.length === 0) return twin;
  outputs.push(...told);
  return { ...twin, alerts, ledger };
}

/** What the causes of findings are weighed by, besides the conditions that hold. */
const observedParts = partsOf('episode', 'tests', 'impairments', ...anyPoint);

const isSameList = (one: readonly Condition[], other: readonly Condition[]): boolean =>
  one.length === other.length && one.every((condition, index) => condition === other[index]);

const nothing: readonly Condition[] = [];

/** The conditions that hold at a moment. */
export const holdingAt = (conditions: readonly Condition[], now: Instant): readonly Condition[] =>
  conditions.every(({ dueAt_ms }) => dueAt_ms > now)
    ? nothing
    : conditions.filter(
        ({ dueAt_ms, untilAt_ms }) => dueAt_ms <= now && (untilAt_ms === undefined || now < untilAt_ms),
      );

const phaseAt = (picture: Picture, now: Instant): Phase => phaseOf(runOn(picture, now), now);

/** The earliest moment after now at which a condition begins or ends to speak, a window ends, or a release is taken as done. */
function nextChange(
  { riser, alerts, facts, conditions }: Pick<Twin, 'riser' | 'alerts' | 'facts' | 'conditions'>,
  now: Instant,
): Instant | undefined {
  let next = Infinity;
  for (const { dueAt_ms, untilAt_ms } of conditions)
    next = sooner(sooner(next, dueAt_ms, now), untilAt_ms ?? Infinity, now);
  for (const { endsAt, end } of riser.picture.tests)
    if (end === undefined) next = sooner(next, endsAt ?? Infinity, now);
  if (facts.release?.seen === false) next = sooner(next, facts.release.begin.order_ms + facts.spans.release_ms, now);
  next = sooner(next, nextAlertDeadline({ riser, alerts }) ?? Infinity, now);
  return next === Infinity ? undefined : (next as Instant);
}

const sooner = (next: number, moment: number, now: Instant): number => (moment > now && moment < next ? moment : next);

/** When the twin next has something to say though nothing is heard; then a `time-reached` event is due. */
export const nextDeadline = (twin: Twin): Instant | undefined => twin.next;

/** A signal later than the latency, against the least delay of its source, that changes a finding or the phase. */
function lateArrival(before: Twin, told: Twin, now: Instant): LateArrival | undefined {
  const { late } = told.riser;
  if (late === undefined) return undefined;
  const changed =
    phaseAt(told.riser.picture, now) !== phaseAt(before.riser.picture, now) ||
    claimsAt(told, now) !== claimsAt(before, now);
  return changed ? late : undefined;
}

const claimsAt = (twin: Twin, now: Instant): string =>
  winners(holdingAt(twin.conditions, now))
    .filter(({ code }) => code !== 'clock-skew' && code !== 'stale-link' && code !== 'out-of-order')
    .map(({ code, occasion, severity }) => `${code} ${occasion} ${severity}`)
    .sort()
    .join('\n');

function withLate(twin: Twin, late: LateArrival): Twin {
  const lates = withArrival(twin.lates, late);
  return { ...twin, lates, conditions: [...conditionsOf(twin.facts, twin.byRule), ...outOfOrder(lates, twin.facts)] };
}

/** Why a finding is cleared, where one event is the reason. */
function wordingOf({ event, late }: Reason, facts: Facts): string {
  if (late !== undefined) return lateReason(facts, late);
  if (event.type !== 'signal-received') return '';
  const { content } = event;
  const said = content.kind === 'contact' ? `${content.name} ${content.state}` : content.name;
  const time = timeAt(facts, event.observedAt ?? event.receivedAt);
  const reopened = content.kind === 'contact' && content.name === 'supply-valve' && content.state === 'restored';
  const secondTrip =
    reopened && facts.flow !== undefined && facts.flow.end === undefined && facts.flow.reset !== undefined;
  return secondTrip
    ? `Cleared at ${time}: the supply valve is reported fully open, so the riser tripped a second time while it was being reopened. Water is flowing.`
    : `Cleared at ${time} by ${said}.`;
}
