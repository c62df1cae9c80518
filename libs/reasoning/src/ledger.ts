import type { Instant } from '@tidemark/kernel';
import type { Answers } from './causes/answers.ts';
import { causesOf } from './causes/causes-of.ts';
import type { CauseContext } from './causes/causes-of.ts';
import { observe } from './causes/observe.ts';
import type { Priors } from './causes/infer.ts';
import { priorsOf } from './causes/priors.ts';
import { variableNames } from './causes/variables.ts';
import type { Condition } from './condition.ts';
import type { Facts } from './facts.ts';
import type { CauseGroup, Finding } from './finding.ts';

/** The findings that stand, by code and occasion. */
export type Ledger = ReadonlyMap<string, Standing>;

/** Nothing stands. One for all risers, since an empty map is as large as a full one. */
export const emptyLedger: Ledger = new Map();

/** A standing finding and what it was worked out from, so that an unchanged one is not said again. */
export interface Standing {
  readonly finding: Finding;
  readonly gist: string;
  /** What had been observed when its causes were last weighed. */
  readonly weighed: string;
}

/** What one judgement changed. */
export interface Judgement {
  readonly ledger: Ledger;
  readonly findings: readonly Finding[];
}

/** What a clearing is explained by: a late signal that put the order right, or the plain course of events. */
export interface Clearing {
  readonly at: Instant;
  /** Worded only when something is cleared. */
  readonly because: () => string;
}

const keyOf = ({ code, occasion }: Condition): string => `${code} ${occasion}`;

/** Severity and evidence: a change of either is worth saying; a finding's text follows from them. */
const gistOf = ({ severity, evidence, variant, gist }: Condition): string =>
  `${severity} ${variant ?? ''} ${gist ?? evidence.map(({ id }) => id).join(' ')}`;

/** What holds at a moment: every condition, and of these the ones that no other code hides (CONTRACT 5.4). */
export interface Holding {
  readonly all: readonly Condition[];
  readonly winners: readonly Condition[];
}

/** Compares what holds with what stands: raises, updates and clears. Clearings come first. */
export function judge(ledger: Ledger, holding: Holding, facts: Facts, clearing: Clearing): Judgement {
  if (ledger.size === 0 && holding.winners.length === 0) return { ledger, findings: [] };
  const wanted = new Map(holding.winners.map((condition) => [keyOf(condition), condition]));
  const findings: Finding[] = [];
  const next = new Map<string, Standing>();
  const judging: Judging = { facts, at: clearing.at, findings, weighing: weighingOf(holding, facts) };
  let changed = false;
  for (const [key, standing] of ledger) {
    const condition = wanted.get(key);
    const stays = condition && kept(standing, condition, judging);
    changed ||= stays !== standing;
    if (stays === undefined) findings.push(cleared(standing.finding, clearing));
    else next.set(key, stays);
  }
  for (const [key, condition] of wanted) {
    if (ledger.has(key)) continue;
    changed = true;
    const finding = raised(condition, judging);
    next.set(key, { finding, gist: gistOf(condition), weighed: judging.weighing.gist });
    findings.push(finding);
  }
  if (!changed) return { ledger, findings };
  return { ledger: next.size === 0 ? emptyLedger : next, findings };
}

/** What the causes of every finding are weighed by, and its gist, so that nothing is weighed twice. */
interface Weighing {
  readonly context: Omit<CauseContext, 'blind'>;
  readonly gist: string;
}

interface Judging {
  readonly facts: Facts;
  readonly at: Instant;
  readonly findings: Finding[];
  readonly weighing: Weighing;
}

/** What parts the answers from the site from the rest of a gist. */
const answersFrom = ' | ';

function weighingOf({ all, winners }: Holding, facts: Facts): Weighing {
  if (winners.length === 0) return nothingToWeigh;
  const observed = observe(facts, all);
  const answers = foundOnSite(facts);
  const gist = variableNames.map((name) => observed[name]?.value ?? '').join(' ');
  return {
    context: { observed, priors: priorsOf(facts), answers },
    gist: `${gist}${answersFrom}${[...answers].join(' ')}`,
  };
}

/** Causes worked out before, of any riser: the same signs have the same causes. */
const weighedBefore = new WeakMap<Priors, Map<string, readonly CauseGroup[]>>();

/** Remembered per kind of priors; beyond this all are forgotten (choice of this project: a few hundred are seen in practice). */
const rememberedCauses = 4_000;

/**
 * The causes of a condition, from what is remembered by and nothing else: neither evidence nor occasion is handed on,
 * so that two conditions with the same signs cannot have different causes.
 */
function weighedCauses(
  { code, variant, ...rest }: Condition,
  weighing: Weighing,
  blind: boolean,
): readonly CauseGroup[] {
  const { observed, priors, answers } = weighing.context;
  const key = `${code} ${variant ?? ''} ${blind} ${weighing.gist}`;
  let remembered = weighedBefore.get(priors);
  if (remembered === undefined || remembered.size >= rememberedCauses)
    weighedBefore.set(priors, (remembered = new Map<string, readonly CauseGroup[]>()));
  const before = remembered.get(key);
  if (before !== undefined) return before;
  const bare = { ...rest, code, occasion: '', evidence: [], ...(variant === undefined ? {} : { variant }) };
  const values = Object.fromEntries(
    Object.entries(observed).map(([name, { value }]) => [name, { value, evidence: [] }]),
  ) as CauseContext['observed'];
  const causes = causesOf(bare, { observed: values, priors, ...(answers === undefined ? {} : { answers }), blind });
  remembered.set(key, causes);
  return causes;
}

const answersOfGist = (gist: string): string => gist.slice(gist.indexOf(answersFrom));

/** What checks on site found in this episode. */
const foundOnSite = ({ episode }: Facts): Answers =>
  new Map([...(episode?.answers ?? [])].map(([check, { found }]) => [check, found]));

const nothingToWeigh: Weighing = { context: { observed: {}, priors: {} }, gist: '' };

function raised(condition: Condition, judging: Judging): Finding {
  const { facts, at } = judging;
  const { account, riser } = facts.profile;
  return {
    id: `${account}/${riser}/${condition.code}/${condition.occasion}/${at}`,
    code: condition.code,
    riser: `${account}/${riser}`,
    status: 'raised',
    alertState: 'unacknowledged',
    at,
    raisedAt: at,
    ...contentOf(condition, judging),
  };
}

type Content = Pick<Finding, 'severity' | 'evidence' | 'explanation' | 'causes' | 'advice' | 'caution' | 'window'>;

function contentOf(condition: Condition, judging: Judging): Content {
  const { severity, evidence, window } = condition;
  const said = condition.say();
  const blind = isBlind(condition, judging);
  return {
    severity,
    evidence,
    ...said,
    explanation: blind
      ? `${said.explanation} The link to this riser is stale, or only just back: the signal may have been sent and not have arrived.`
      : said.explanation,
    causes: weighedCauses(condition, judging.weighing, blind),
    ...(window === undefined ? {} : { window }),
  };
}

/** Whether a condition rests on a signal that may have been sent and not have arrived. */
const isBlind = (condition: Condition, { facts, at }: Judging): boolean =>
  condition.absence && condition.code !== 'stale-link' && (linkIsStale(facts, at) || linkJustReturned(facts, at));

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

/** A finding whose severity or evidence changed is told again; so is one whose leading causes changed. */
function kept(standing: Standing, condition: Condition, judging: Judging): Standing {
  const { at, findings, weighing } = judging;
  const gist = gistOf(condition);
  if (gist === standing.gist) return reweighed(standing, condition, judging);
  const finding: Finding = {
    ...standing.finding,
    status: 'updated',
    at,
    ...contentOf(condition, judging),
  };
  findings.push(finding);
  return { finding, gist, weighed: weighing.gist };
}

/** Weighs the causes anew once something more was observed. Who answered a check is told whatever it changed. */
function reweighed(standing: Standing, condition: Condition, judging: Judging): Standing {
  const { at, findings, weighing } = judging;
  if (standing.weighed === weighing.gist) return standing;
  const causes = weighedCauses(condition, weighing, isBlind(condition, judging));
  const answered = answersOfGist(standing.weighed) !== answersOfGist(weighing.gist);
  const tells = answered ? !sameGroups(standing.finding.causes, causes) : tellsAnew(standing.finding.causes, causes);
  if (!tells) return { ...standing, weighed: weighing.gist };
  const finding: Finding = { ...standing.finding, status: 'updated', at, causes };
  findings.push(finding);
  return { ...standing, finding, weighed: weighing.gist };
}

const sameGroups = (one: readonly CauseGroup[], other: readonly CauseGroup[]): boolean =>
  JSON.stringify(one) === JSON.stringify(other);

/** A change of the leading group's probability that is worth telling (choice of this project). */
const worthTelling = 0.2;

/** Whether another cause leads, or the leading group became much surer or less sure. Who else is in it is no news. */
function tellsAnew(before: readonly CauseGroup[], now: readonly CauseGroup[]): boolean {
  const [was, is] = [before[0], now[0]];
  if (was === undefined || is === undefined) return was !== is;
  const leads = is.causes[0];
  if (leads !== undefined && !was.causes.includes(leads)) return true;
  return Math.abs(was.probability - is.probability) >= worthTelling;
}

function cleared(finding: Finding, { at, because }: Clearing): Finding {
  return {
    ...finding,
    status: 'cleared',
    at,
    clearedAt: at,
    explanation: `${finding.explanation} ${because()}`.trimEnd(),
  };
}
