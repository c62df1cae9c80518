export { nextAlertState } from './alert-state.ts';
export type { AlertEvent } from './alert-state.ts';
