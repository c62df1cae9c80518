import type * as wire from '@tidemark/api';
import type { Position } from '@tidemark/journal';
import type { Instant } from '@tidemark/kernel';
import { formatInstant } from '@tidemark/kernel';
import type { Finding, RestorationStep, RiserView } from '@tidemark/reasoning';
import { findingOnTheWire } from '@tidemark/reasoning';
import type { EventReference } from '@tidemark/riser';
import { actionOnTheWire, alertsOnTheWire, isDue, openAlertsOf } from './alerts-on-the-wire.ts';
import { deadlineOf, isUnanswered, openFindings, urgencyOf } from './urgency.ts';
import { waterlineOf } from './waterline.ts';

/** What a list says of a riser. */
export function summaryOnTheWire(view: RiserView): wire.RiserSummary {
  const open = openFindings(view);
  const count = (severity: Finding['severity']) => open.filter((finding) => finding.severity === severity).length;
  const urgency = urgencyOf(view);
  return {
    account: view.account,
    riser: view.riser,
    site: view.site,
    phase: view.phase,
    ...optional('phaseSince', view.phaseSince),
    asOf: formatInstant(view.asOf),
    headline: headlineOf(view),
    urgency,
    deadline: urgency === 'none' ? undefined : deadlineOf(view),
    openFindings: {
      critical: count('critical'),
      high: count('high'),
      advisory: count('advisory'),
      unacknowledged: view.findings.filter(isUnanswered).length,
    },
    openAlerts: openAlertsOf(view),
    ...optional('episodeBegan', view.episode?.began),
    ...optional('testEndsAt', view.test?.endsAt),
    waterline: waterlineOf(view),
    link: {
      state: view.link.state,
      ...optional('since', view.link.since),
      ...optional('lastHeardAt', view.link.lastHeardAt),
      clockOffset_ms: view.link.clockOffset_ms,
    },
  };
}

/** The whole state of a riser. */
export function riserOnTheWire(view: RiserView, position: Position | undefined): wire.RiserView {
  return {
    ...summaryOnTheWire(view),
    position: position?.toString(),
    points: view.points.map(({ since, heardAt, heardReceivedAt, ...point }) => ({
      ...point,
      ...optional('since', since),
      ...optional('heardAt', heardAt),
      ...optional('heardReceivedAt', heardReceivedAt),
    })),
    readings: view.readings.map((reading) => ({ ...reading, at: formatInstant(reading.at) })),
    positions: view.positions.map((each) => ({ ...each, evidence: each.evidence.map(referenceOnTheWire) })),
    episode: episodeOnTheWire(view),
    restoration: view.restoration.map(stepOnTheWire),
    findings: view.findings.map(findingOnTheWire),
    alerts: alertsOnTheWire(view),
    actions: view.actions.map(actionOnTheWire),
    test: testOnTheWire(view),
    impairment: impairmentOnTheWire(view),
    counts: view.counts,
  };
}

/** The one sentence: the episode's, else the gravest finding's, else what is still owed, that all is well, or that nothing is known. */
function headlineOf(view: RiserView): string {
  const said = view.episode?.headline ?? openFindings(view)[0]?.explanation ?? owedSentence(view);
  if (said !== undefined) return said;
  return view.phase === 'unknown'
    ? 'Nothing has been heard from this riser yet.'
    : 'In service. Nothing needs a person.';
}

/** What is over is not done with: somebody may still have to be told, and somebody has to have seen it. */
function owedSentence({ alerts }: RiserView): string | undefined {
  const owing = alerts.find((alert) => alert.awaitsAnswer || alert.duties.some(isDue));
  if (owing === undefined) return undefined;
  const next = owing.duties.filter(isDue).toSorted((one, other) => one.dueAt - other.dueAt)[0];
  const rest = alerts.length === 1 ? '' : ` ${alerts.length - 1} more wait.`;
  return `Over, and not seen to: ${owing.label.replace(/\.$/, '')}. ${next?.title ?? 'Acknowledge it'}.${rest}`;
}

function stepOnTheWire({ by, confirmedAt, evidence, ...step }: RestorationStep): wire.RestorationStep {
  return {
    ...step,
    ...optional('by', by),
    ...optional('confirmedAt', confirmedAt),
    evidence: evidence.map(referenceOnTheWire),
  };
}

function episodeOnTheWire({ episode }: RiserView): wire.RiserView['episode'] {
  if (episode === undefined) return undefined;
  const story = episode.story.map(({ at, text, evidence }) => ({
    at: formatInstant(at),
    text,
    evidence: referenceOnTheWire(evidence),
  }));
  return { ...episode, began: formatInstant(episode.began), story };
}

function testOnTheWire({ test }: RiserView): wire.RiserView['test'] {
  if (test === undefined) return undefined;
  const { origin, began, endsAt, expect, seen } = test;
  return { origin, began: formatInstant(began), ...optional('endsAt', endsAt), expect: [...expect], seen: [...seen] };
}

function impairmentOnTheWire({ impairment }: RiserView): wire.RiserView['impairment'] {
  if (impairment === undefined) return undefined;
  return { ...impairment, began: formatInstant(impairment.began), limitAt: formatInstant(impairment.limitAt) };
}

const referenceOnTheWire = ({ id, what, at }: EventReference): wire.EventReference => ({
  id,
  what,
  at: formatInstant(at),
});

/** A time that may be absent: the key stays away with it. */
const optional = <Name extends string>(name: Name, at: Instant | undefined): Partial<Record<Name, string>> =>
  at === undefined ? {} : ({ [name]: formatInstant(at) } as Partial<Record<Name, string>>);
