export { causeIds } from './causes.ts';
export type { CauseId } from './causes.ts';
export type { AlertState } from '@tidemark/alerting';
export { findingCodes } from './finding.ts';
export type { CauseGroup, Finding, FindingCode, Severity } from './finding.ts';
export { initialTwin, nextDeadline, step } from './twin.ts';
export type { Output, Twin } from './twin.ts';
export { restorationSteps } from './view.ts';
export type {
  EpisodeView,
  HiddenElement,
  PointView,
  PositionView,
  RestorationStep,
  RestorationStepId,
  RiserView,
} from './view.ts';
export { viewOf } from './view-of.ts';
