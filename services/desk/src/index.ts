export { openAccess } from './access/access.ts';
export type { Access, AccessOptions } from './access/access.ts';
export type { DemoUser } from './access/demo-users.ts';
export { journalShift } from './hand-overs.ts';
export type { Shift } from './hand-overs.ts';
export { isLoopback } from './http/loopback.ts';
export { DeskModule } from './desk.module.ts';
export { journalCommands } from './journal-commands.ts';
export { loopback, openDesk } from './open-desk.ts';
export type { DeskOptions, OpenDesk } from './open-desk.ts';
export { ensurePage } from './page/ensure-page.ts';
export { pastView } from './past-view.ts';
export type {
  Commands,
  DeskPorts,
  Escalation,
  GivenCommand,
  PartHealth,
  PastMoment,
  RiserChange,
  RiserViews,
} from './ports.ts';
