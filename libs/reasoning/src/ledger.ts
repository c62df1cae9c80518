import type { AlertState } from '@tidemark/words';
import { nextAlertState } from '@tidemark/alerting';
import type { Instant } from '@tidemark/kernel';
import { causesOf } from './cause-groups.ts';
import type { Condition } from './condition.ts';
import type { Facts } from './facts.ts';
import type { Finding } from './finding.ts';
import type { Severity } from '@tidemark/words';

/** The findings that stand, by code and occasion. */
export type Ledger = ReadonlyMap<string, Standing>;

/** A standing finding and what it was worked out from, so that an unchanged one is not said again. */
export interface Standing {
  readonly finding: Finding;
  readonly gist: string;
}

/** What one judgement changed. */
export interface Judgement {
  readonly ledger: Ledger;
  readonly findings: readonly Finding[];
}

/** What a clearing is explained by: a late signal that put the order right, or the plain course of events. */
export interface Clearing {
  readonly at: Instant;
  readonly because: string;
}

const keyOf = ({ code, occasion }: Condition): string => `${code} ${occasion}`;

/** Severity and evidence: a change of either is worth saying; a finding's text follows from them. */
const gistOf = ({ severity, evidence, variant }: Condition): string =>
  `${severity} ${variant ?? ''} ${evidence.map(({ id }) => id).join(' ')}`;

/** Compares what is asserted with what stands: raises, updates and clears. Clearings come first. */
export function judge(ledger: Ledger, asserted: readonly Condition[], facts: Facts, clearing: Clearing): Judgement {
  const wanted = new Map(asserted.map((condition) => [keyOf(condition), condition]));
  const findings: Finding[] = [];
  const next = new Map<string, Standing>();
  for (const [key, standing] of ledger) {
    const condition = wanted.get(key);
    if (condition === undefined) findings.push(cleared(standing.finding, clearing));
    else next.set(key, kept(standing, condition, { facts, at: clearing.at, findings }));
  }
  for (const [key, condition] of wanted) {
    if (ledger.has(key)) continue;
    const finding = raised(condition, facts, clearing.at);
    next.set(key, { finding, gist: gistOf(condition) });
    findings.push(finding);
  }
  return { ledger: next, findings };
}

function raised(condition: Condition, facts: Facts, at: Instant): Finding {
  const { account, riser } = facts.profile;
  return {
    id: `${account}/${riser}/${condition.code}/${condition.occasion}/${at}`,
    code: condition.code,
    riser: `${account}/${riser}`,
    status: 'raised',
    alertState: 'unacknowledged',
    at,
    raisedAt: at,
    ...contentOf(condition, facts, at),
  };
}

type Content = Pick<Finding, 'severity' | 'evidence' | 'explanation' | 'causes' | 'advice' | 'caution' | 'window'>;

function contentOf(condition: Condition, facts: Facts, at: Instant): Content {
  const { severity, evidence, window } = condition;
  const said = condition.say();
  const blind =
    condition.absence && condition.code !== 'stale-link' && (linkIsStale(facts, at) || linkJustReturned(facts, at));
  return {
    severity,
    evidence,
    ...said,
    explanation: blind
      ? `${said.explanation} The link to this riser is stale, or only just back: the signal may have been sent and not have arrived.`
      : said.explanation,
    causes: causesOf(condition, blind),
    ...(window === undefined ? {} : { window }),
  };
}

/** Whether the link was silent past its supervision, or reported down. */
export function linkIsStale(facts: Facts, at: Instant): boolean {
  const { heard, link } = facts.picture;
  if (link.state === 'down') return true;
  return heard !== undefined && at - heard.receivedAt > facts.profile.link.supervisionSeconds * 1_000;
}

/** Whether the link came back so lately that what was sent meanwhile may still be arriving. */
function linkJustReturned({ picture, spans }: Facts, at: Instant): boolean {
  const { returned, mark } = picture.link;
  return returned && mark !== undefined && at - mark.receivedAt <= spans.latency_ms;
}

const rank: Readonly<Record<Severity, number>> = { advisory: 0, high: 1, critical: 2 };

interface Keeping {
  readonly facts: Facts;
  readonly at: Instant;
  readonly findings: Finding[];
}

/** A finding that became graver asks for attention anew. */
function kept(standing: Standing, condition: Condition, { facts, at, findings }: Keeping): Standing {
  const gist = gistOf(condition);
  if (gist === standing.gist) return standing;
  const graver = rank[condition.severity] > rank[standing.finding.severity];
  const finding: Finding = {
    ...standing.finding,
    status: 'updated',
    alertState: graver ? 'unacknowledged' : standing.finding.alertState,
    at,
    ...contentOf(condition, facts, at),
  };
  findings.push(finding);
  return { finding, gist };
}

function cleared(finding: Finding, { at, because }: Clearing): Finding {
  return {
    ...finding,
    status: 'cleared',
    alertState: nextAlertState(finding.alertState, 'condition-off'),
    at,
    clearedAt: at,
    explanation: because === '' ? finding.explanation : `${finding.explanation} ${because}`,
  };
}

/** Acknowledges every standing finding of a code. It never clears one. */
export function acknowledged(ledger: Ledger, code: string, at: Instant): Judgement {
  const findings: Finding[] = [];
  const next = new Map<string, Standing>();
  for (const [key, standing] of ledger) {
    const alertState: AlertState = nextAlertState(standing.finding.alertState, 'acknowledge');
    if (standing.finding.code !== code || alertState === standing.finding.alertState) {
      next.set(key, standing);
      continue;
    }
    const finding: Finding = { ...standing.finding, status: 'updated', alertState, at };
    findings.push(finding);
    next.set(key, { ...standing, finding });
  }
  return { ledger: next, findings };
}
