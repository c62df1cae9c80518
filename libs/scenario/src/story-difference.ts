import type { Instant } from '@tidemark/kernel';
import type { FindingCode, Phase, Severity } from '@tidemark/words';
import type { ExpectedFinding, Scenario } from './scenario.ts';
import { speakAt, speakStretch } from './speak-time.ts';
import type { Stretch } from './time-text.ts';

/** One finding as it was told, from raised to cleared. */
export interface ToldFinding {
  readonly code: FindingCode;
  readonly severity: Severity;
  readonly raisedAt: Instant;
  readonly clearedAt: Instant | undefined;
  readonly explanation: string;
  /** All causes named, most probable group first. */
  readonly causes: readonly string[];
}

/** What came of a story. */
export interface ToldStory {
  readonly findings: readonly ToldFinding[];
  /** The starting phase first. */
  readonly phases: readonly { readonly phase: Phase; readonly at: Instant | undefined }[];
  readonly quarantined: number;
  readonly duplicates: number;
}

/** Everything in which a story came out otherwise than expected, each a sentence; none when it came out as expected. */
export function storyDifferences(scenario: Scenario, told: ToldStory): readonly string[] {
  const { expect } = scenario;
  return [
    ...findingDifferences(scenario, told.findings),
    ...phaseDifferences(scenario, told.phases),
    ...countDifference('quarantined', expect.quarantined, told.quarantined),
    ...countDifference('duplicates', expect.duplicates, told.duplicates),
  ];
}

/** Pairs findings of a code in the order in which they were raised. */
function findingDifferences({ begin, expect }: Scenario, told: readonly ToldFinding[]): readonly string[] {
  const left = told.toSorted((one, other) => one.raisedAt - other.raisedAt);
  const expected = expect.findings.toSorted((one, other) => one.raised.from_ms - other.raised.from_ms);
  const differences = expected.flatMap((each) => {
    const at = left.findIndex(({ code }) => code === each.code);
    const [found] = at < 0 ? [] : left.splice(at, 1);
    return found === undefined
      ? [`${each.code} is missing: expected to be raised ${speakStretch(each.raised)}`]
      : withinFinding(each, found, begin);
  });
  const surplus = left.map(
    ({ code, raisedAt, explanation }) =>
      `${code} is not expected: raised at ${speakAt(raisedAt - begin)}: ${explanation}`,
  );
  return [...differences, ...surplus];
}

function withinFinding(expected: ExpectedFinding, found: ToldFinding, begin: Instant): readonly string[] {
  const { code, raised, cleared, severity, causes = [] } = expected;
  const missing = causes.filter((cause) => !found.causes.includes(cause));
  return [
    ...timeDifference(`${code} raised`, raised, found.raisedAt - begin),
    ...clearedDifference(code, cleared, found.clearedAt === undefined ? undefined : found.clearedAt - begin),
    ...(severity === undefined || severity === found.severity
      ? []
      : [`${code} is ${found.severity}: expected ${severity}`]),
    ...(missing.length === 0
      ? []
      : [`${code} does not name ${missing.join(', ')} among its causes: ${found.causes.join(', ')}`]),
  ];
}

function clearedDifference(
  code: string,
  expected: ExpectedFinding['cleared'],
  at_ms: number | undefined,
): readonly string[] {
  if (expected === 'whenever') return [];
  if (expected === 'never') return at_ms === undefined ? [] : [`${code} cleared at ${speakAt(at_ms)}: expected never`];
  if (at_ms === undefined) return [`${code} is never cleared: expected ${speakStretch(expected)}`];
  return timeDifference(`${code} cleared`, expected, at_ms);
}

const timeDifference = (what: string, expected: Stretch, at_ms: number): readonly string[] =>
  expected.from_ms <= at_ms && at_ms <= expected.to_ms
    ? []
    : [`${what} at ${speakAt(at_ms)}: expected ${speakStretch(expected)}`];

function phaseDifferences({ begin, expect }: Scenario, told: ToldStory['phases']): readonly string[] {
  const names = told.map(({ phase }) => phase);
  const last = names.at(-1);
  const ends = last === expect.ends ? [] : [`ends ${last ?? 'without a phase'}: expected ${expect.ends}`];
  if (expect.phases === undefined) return ends;
  const wanted = expect.phases.map(({ phase }) => phase);
  if (wanted.join() !== names.join())
    return [`phases: ${told.map((each) => speakPhase(each, begin)).join(', ')}; expected ${wanted.join(', ')}`];
  return expect.phases.flatMap(({ phase, at }, index) => {
    const found = told[index]?.at;
    return at === undefined || found === undefined ? [] : timeDifference(`phase ${phase}`, at, found - begin);
  });
}

const speakPhase = ({ phase, at }: ToldStory['phases'][number], begin: Instant): string =>
  at === undefined ? phase : `${phase} (${speakAt(at - begin)})`;

const countDifference = (what: string, expected: number, found: number): readonly string[] =>
  expected === found ? [] : [`${what}: ${found}, expected ${expected}`];
