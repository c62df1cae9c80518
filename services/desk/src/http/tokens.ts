import type { InjectionToken } from '@nestjs/common';
import type { Access } from '../access/access.ts';
import type { Transport } from '../access/session-cookie.ts';
import type { DeskPorts } from '../ports.ts';

/** Nest needs a runtime name for an interface. */
export const DESK_PORTS: InjectionToken<DeskPorts> = Symbol('DeskPorts');

/** The address the desk answers on, as told to people. */
export const LISTENS_ON: InjectionToken<string> = Symbol('the address the desk answers on');

/** Who may come in. */
export const ACCESS: InjectionToken<Access> = Symbol('Access');

/** How the desk is reached. */
export const TRANSPORT: InjectionToken<Transport> = Symbol('Transport');
