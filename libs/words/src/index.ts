export { causeIds } from './causes.ts';
export type { CauseId } from './causes.ts';
export {
  alertClasses,
  alertPriorities,
  alertStates,
  callees,
  dispatchStages,
  dispatchUnits,
  duties,
} from './alert-words.ts';
export type {
  AlertClass,
  AlertPriority,
  AlertState,
  Callee,
  DispatchStage,
  DispatchUnit,
  Duty,
} from './alert-words.ts';
export { findingCodes, severities } from './finding-words.ts';
export type { FindingCode, Severity } from './finding-words.ts';
export { hiddenElements, phases, restorationSteps } from './riser-words.ts';
export type { HiddenElement, Phase, RestorationStepId } from './riser-words.ts';
export {
  actNames,
  classOf,
  contactNames,
  isAct,
  isInitiating,
  isReading,
  pressureNames,
  signalNames,
  vocabulary,
} from './vocabulary.ts';
export type { ActName, ContactName, ContactState, ReadingName, SignalClass, SignalName } from './vocabulary.ts';
