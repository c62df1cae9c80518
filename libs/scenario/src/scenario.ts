import type { Instant, Result } from '@tidemark/kernel';
import { instant, ok } from '@tidemark/kernel';
import type { FindingCode, Severity } from '@tidemark/reasoning';
import type { FileMistake, Phase, Profile } from '@tidemark/riser';
import { readYaml } from '@tidemark/riser';
import { scenarioFile, timesOf } from './scenario-schema.ts';
import type { Step } from './step-schema.ts';
import type { Stretch } from './time-text.ts';

/** A step with its true time, in ms from the beginning; repeats are steps of their own. */
export interface TimedStep {
  readonly at_ms: number;
  /** Names the step in ids: its place in the file, and the repeat's in the step. */
  readonly name: string;
  readonly step: Step;
}

/** How a panel's messages travel where a step says nothing else. */
export interface PanelGiven {
  readonly name: string;
  readonly delay: number;
  readonly clock: number;
  readonly sequence: boolean;
}

/** A finding that must be there, from raised to cleared. */
export interface ExpectedFinding {
  readonly code: FindingCode;
  readonly raised: Stretch;
  readonly cleared: Stretch | 'never' | 'whenever';
  readonly severity?: Severity | undefined;
  readonly causes?: readonly string[] | undefined;
}

/** What a story must give: complete lists, so that what is not here must not be there. */
export interface Expectation {
  readonly findings: readonly ExpectedFinding[];
  readonly phases?: readonly { readonly phase: Phase; readonly at: Stretch | undefined }[] | undefined;
  readonly ends: Phase;
  readonly quarantined: number;
  readonly duplicates: number;
}

/** A story with its riser and what must come of it. */
export interface Scenario {
  readonly claim: string;
  readonly because: string | undefined;
  /** The profile, or the path of its file as seen from the scenario's. */
  readonly riser: { readonly file: string } | { readonly profile: Profile };
  readonly begin: Instant;
  readonly panel: PanelGiven;
  readonly heard: readonly TimedStep[];
  /** When the clock stops. */
  readonly until: Instant;
  readonly expect: Expectation;
}

/** Reads a scenario file; each mistake names the file, the line, the key and what was expected. */
export function parseScenario(text: string, file: string): Result<Scenario, readonly FileMistake[]> {
  const read = readYaml(scenarioFile, text, file);
  if (!read.ok) return read;
  const { claim, because, riser, begin, given, until, expect } = read.value;
  const heard = repeated(given.heard);
  const last_ms = Math.max(...heard.map(({ at_ms }) => at_ms));
  return ok({
    claim,
    because,
    riser,
    begin,
    panel: given.panel,
    heard,
    until: instant(begin + (until.from === 'before' ? last_ms : 0) + until.ms),
    expect,
  });
}

/** Every step and its repeats, in the order of time; what is at the same moment stays in the order of the file. */
function repeated(steps: readonly Step[]): readonly TimedStep[] {
  const times = timesOf(steps);
  return steps
    .flatMap((step, index): readonly TimedStep[] => {
      const at_ms = times[index] ?? 0;
      const name = `step-${index + 1}`;
      const { every, times: count } = step.repeat ?? { every: 0, times: 1 };
      return Array.from({ length: count }, (_, turn) => ({
        at_ms: at_ms + turn * every,
        name: turn === 0 ? name : `${name}-${turn + 1}`,
        step,
      }));
    })
    .toSorted((one, other) => one.at_ms - other.at_ms);
}
