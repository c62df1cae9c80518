export { parseScenario } from './scenario.ts';
export type { Expectation, ExpectedFinding, Scenario, TimedStep } from './scenario.ts';
export { storyDifferences } from './story-difference.ts';
export type { ToldFinding, ToldStory } from './story-difference.ts';
export type { Stretch } from './time-text.ts';
export { toldLines } from './told-lines.ts';
export type { ToldLine } from './told-lines.ts';
