export { DeskModule } from './desk.module.ts';
export { journalCommands } from './journal-commands.ts';
export { loopback, openDesk } from './open-desk.ts';
export type { DeskOptions, OpenDesk } from './open-desk.ts';
export { ensurePage } from './page/ensure-page.ts';
export { pastView } from './past-view.ts';
export type { Commands, DeskPorts, GivenCommand, PartHealth, PastMoment, RiserChange, RiserViews } from './ports.ts';
