export { causeIds, findingCodes, restorationSteps } from '@tidemark/words';
export type { AlertState, CauseId, FindingCode, HiddenElement, RestorationStepId, Severity } from '@tidemark/words';
export { findingOnTheWire } from './finding-on-the-wire.ts';
export type { FindingOnTheWire } from './finding-on-the-wire.ts';
export type { CauseGroup, Finding } from './finding.ts';
export { initialTwin, nextDeadline, step } from './twin.ts';
export type { Output, Twin } from './twin.ts';
export type { EpisodeView, PointView, PositionView, RestorationStep, RiserView } from './view.ts';
export { viewOf } from './view-of.ts';
