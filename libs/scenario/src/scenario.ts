import type { Instant, Result } from '@tidemark/kernel';
import { instant, ok } from '@tidemark/kernel';
import type { FindingCode, Phase, Severity, SignalName } from '@tidemark/words';
import type { FileMistake, Profile } from '@tidemark/riser';
import { readYaml } from '@tidemark/riser';
import { scenarioFile, timesOf } from './scenario-schema.ts';
import type { StagedGiven } from './staged-schema.ts';
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

/** A signal that the station must receive within a stretch, or never. */
export interface ExpectedSignal {
  readonly signal: SignalName;
  readonly state: 'active' | 'restored' | 'performed' | 'never';
  readonly at: Stretch | undefined;
  readonly point?: number | undefined;
}

/** What a story must give: complete lists, so that what is not here must not be there. */
export interface Expectation {
  /** Complete for each signal that is named. */
  readonly signals?: readonly ExpectedSignal[] | undefined;
  readonly findings: readonly ExpectedFinding[];
  readonly phases?: readonly { readonly phase: Phase; readonly at: Stretch | undefined }[] | undefined;
  readonly ends: Phase;
  readonly quarantined: number;
  readonly duplicates: number;
}

/** What every story has: its riser, its time and what must come of it. */
interface Story {
  readonly claim: string;
  readonly because?: string | undefined;
  /** The profile, or the path of its file as seen from the scenario's. */
  readonly riser: { readonly file: string } | { readonly profile: Profile };
  readonly begin: Instant;
  /** When the clock stops. */
  readonly until: Instant;
  readonly expect: Expectation;
}

/** A story told by what was heard. */
export type HeardScenario = Story & {
  readonly panel: PanelGiven;
  readonly heard: readonly TimedStep[];
};

/** A story told by a plant, its panel, its people and its faults; the simulator makes of it what is heard. */
export type StagedScenario = Story & { readonly staged: StagedGiven };

/** A story, however it is told. */
export type Scenario = HeardScenario | StagedScenario;

/** Reads a scenario file; each mistake names the file, the line, the key and what was expected. */
export function parseScenario(text: string, file: string): Result<Scenario, readonly FileMistake[]> {
  const read = readYaml(scenarioFile, text, file);
  if (!read.ok) return read;
  const { given, until, ...story } = read.value;
  if (!('heard' in given)) return ok({ ...story, staged: given, until: instant(story.begin + until.ms) });
  const heard = repeated(given.heard);
  const last_ms = Math.max(...heard.map(({ at_ms }) => at_ms));
  const from_ms = until.from === 'before' ? last_ms : 0;
  return ok({ ...story, panel: given.panel, heard, until: instant(story.begin + from_ms + until.ms) });
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
