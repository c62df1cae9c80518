import { speakDuration } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import type { Phase } from '@tidemark/riser';
import { initiatingActive } from '@tidemark/riser';
import type { Facts } from './facts.ts';
import { activeSince } from './facts.ts';
import type { Finding } from './finding.ts';
import { openSteps } from './restoration.ts';
import type { EpisodeView } from './view.ts';
import { at, nameOf, plainNames, sentence, timeOf } from './wording.ts';

const rank = { critical: 0, high: 1, advisory: 2 } as const;

/** The one plain sentence that leads an episode: the gravest finding's first, else what the phase means now. */
export function headlineOf(facts: Facts, phase: Phase, findings: readonly Finding[]): string {
  const gravest = [...findings].sort(
    (one, other) => rank[one.severity] - rank[other.severity] || one.raisedAt - other.raisedAt,
  )[0];
  if (gravest !== undefined && gravest.severity !== 'advisory') return firstSentence(gravest.explanation);
  return phaseSentence(facts, phase);
}

const firstSentence = (text: string): string => {
  const end = /[.;](?:\s|$)/.exec(text);
  return end === null ? text : `${text.slice(0, end.index)}.`;
};

function phaseSentence(facts: Facts, phase: Phase): string {
  const flow = activeSince(facts, 'waterflow');
  const closed = activeSince(facts, 'supply-valve');
  const next = openSteps(facts)[0];
  switch (phase) {
    case 'alarm': {
      const standing = initiatingActive(facts.picture);
      const first = [...(facts.episode?.initiated.values() ?? [])][0];
      if (first !== undefined)
        return `The ${nameOf(facts, first.ref)} is in alarm since ${timeOf(facts, first)}; no release is reported.`;
      return standing?.since === undefined
        ? 'The panel is in alarm.'
        : `An alarm stands since ${timeOf(facts, standing.since)}: ${standing.label}.`;
    }
    case 'released':
      return `The release acted${facts.release === undefined ? '' : ` at ${timeOf(facts, facts.release.begin)}`}; no water is reported yet.`;
    case 'flowing':
      return `Water is reported flowing${flow === undefined ? '' : ` since ${timeOf(facts, flow)}`}.`;
    case 'shutting-down':
      return closed === undefined
        ? 'The supply valve is being shut.'
        : `The supply valve is not fully open since ${timeOf(facts, closed)}; water should stop by ${at(facts, (closed.receivedAt + facts.spans.drainDown_ms) as Instant)} at the latest.`;
    case 'drained':
      return 'Water is no longer reported; the riser is not back in service.';
    case 'resetting':
    case 'priming':
    case 'reopening':
      return next === undefined
        ? 'The riser is on its way back to service.'
        : `On the way back to service. Next: ${next.title.toLowerCase()}.`;
    case 'alarm-test':
      return 'A test is announced; its signals are recorded and not raised as emergencies.';
    case 'impaired':
      return impairedSentence(facts);
    case 'unknown':
      return 'This riser has never been heard from.';
    case 'in-service':
      return 'In service; a trouble is still to be seen to.';
  }
}

function impairedSentence(facts: Facts): string {
  const declared = facts.picture.impairments.find(({ end }) => end === undefined);
  if (declared !== undefined) return `Declared impaired (${declared.kind}): ${declared.reason}.`;
  const standing = facts.picture.active[0];
  return standing?.since === undefined
    ? 'The riser is not in its normal state.'
    : `${sentence(standing.label)} is off normal since ${timeOf(facts, standing.since)}.`;
}

/** The open episode with its story in plain language. */
export function episodeOf(facts: Facts, phase: Phase, findings: readonly Finding[]): EpisodeView | undefined {
  const { episode } = facts;
  if (episode === undefined || !facts.open) return undefined;
  return {
    id: episode.id,
    began: episode.begin.ref.at,
    opener: episode.opener,
    headline: headlineOf(facts, phase, findings),
    story: facts.picture.chronicle.events.map((evidence) => ({
      at: evidence.at,
      text: `${timeOf(facts, evidence)} ${plainNames[evidence.what] ?? evidence.what}, ${speakDuration(evidence.at - episode.begin.ref.at)} after it began`,
      evidence,
    })),
    eventCount: facts.picture.chronicle.eventCount,
  };
}
