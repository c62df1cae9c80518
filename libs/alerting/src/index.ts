export { nextAlertState } from './alert-state.ts';
export type { AlertEvent, AlertState } from './alert-state.ts';
