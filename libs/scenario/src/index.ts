export { catalogueRows } from './catalogue-rows.ts';
export type { StagedCrew } from './crew-schema.ts';
export { parseScenario } from './scenario.ts';
export type {
  Expectation,
  ExpectedFinding,
  ExpectedSignal,
  HeardScenario,
  Scenario,
  StagedScenario,
  TimedStep,
} from './scenario.ts';
export { signalDifferences } from './signal-difference.ts';
export type { HeardSignal } from './signal-difference.ts';
export type { StagedFault, StagedGiven } from './staged-schema.ts';
export type { Awaited, Due, StagedStep } from './staged-step-schema.ts';
export { storyDifferences } from './story-difference.ts';
export type { ToldFinding, ToldStory } from './story-difference.ts';
export type { Stretch } from './time-text.ts';
export { toldLines } from './told-lines.ts';
export type { ToldLine } from './told-lines.ts';
