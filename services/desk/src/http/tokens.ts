import type { InjectionToken } from '@nestjs/common';
import type { DeskPorts } from '../ports.ts';

/** Nest needs a runtime name for an interface. */
export const DESK_PORTS: InjectionToken<DeskPorts> = Symbol('DeskPorts');

/** The address the desk answers on, as told to people. */
export const LISTENS_ON: InjectionToken<string> = Symbol('the address the desk answers on');
