export {
  entry,
  grants,
  invitation,
  passwordLongest_characters,
  passwordShortest_characters,
  roles,
  setPasswordPath,
  user,
  userKey,
  userList,
  userName,
  whoAmI,
} from './access.ts';
export type { Entry, Grant, Invitation, Role, User, WhoAmI } from './access.ts';
export { accountsWith, commandRoles, isAmong, mayCommand } from './access-rules.ts';
export type { Accounts, RouteAccess } from './access-rules.ts';
export { action, alert, alertDuty, alertSummary, deadlineTable, escalation } from './alert.ts';
export type { Alert, DeadlineTable } from './alert.ts';
export { accountFigures, alertFigures, isFiguresSpan } from './figures.ts';
export type { AccountFigures } from './figures.ts';
export { handOver, handOverRequest, handOvers } from './hand-over.ts';
export type { HandOver, HandOverRequest, HandOvers } from './hand-over.ts';
export { moment, pageLimit_items, paging, position, riserKey } from './basics.ts';
export type { EventReference, RiserKey } from './basics.ts';
export { commandReceipt, commandRequest, riserCommand } from './command.ts';
export type { CommandReceipt, CommandRequest, RiserCommand } from './command.ts';
export { diagnosis, recordMoments } from './diagnosis.ts';
export type { Diagnosis } from './diagnosis.ts';
export { exportLimit_lines } from './export-routes.ts';
export { riserEvent, riserEvents } from './events.ts';
export type { RiserEvent, RiserEvents } from './events.ts';
export { finding, findingHistory } from './finding.ts';
export type { Finding, FindingHistory } from './finding.ts';
export { health } from './health.ts';
export type { Health } from './health.ts';
export { liveEvents, lostAfter_ms, tick_ms } from './live.ts';
export type { Following, LiveEvent, LiveEventName } from './live.ts';
export { openApi } from './openapi.ts';
export { problem, problemCodes, problemContentType, problemOf } from './problem.ts';
export type { Problem, ProblemCode } from './problem.ts';
export { payloadExcerptLimit_bytes, quarantined, quarantinePage } from './quarantine.ts';
export type { Quarantined, QuarantinePage } from './quarantine.ts';
export { asOfQuery, riserList, riserSummary, riserView } from './riser.ts';
export type {
  InferredPosition,
  PointState,
  RestorationStep,
  RiserList,
  RiserSummary,
  RiserView,
  Water,
  Waterline,
} from './riser.ts';
export { bodyLimit_bytes, intentHeader, tokenHeader } from './route.ts';
export type { Route } from './route.ts';
export { pathTo, routes } from './routes.ts';
export type { Answer, RouteName } from './routes.ts';
export { byUrgency } from './urgency-order.ts';
export {
  alertStates,
  causeIds,
  findingCodes,
  hiddenElements,
  phases,
  restorationSteps,
  severities,
  signalNames,
} from '@tidemark/words';
export type {
  CauseId,
  FindingCode,
  HiddenElement,
  Phase,
  RestorationStepId,
  Severity,
  SignalName,
} from '@tidemark/words';
export { quarantineReasons, urgencies } from './words.ts';
export type { Urgency } from './words.ts';
