/**
 * The alert's own state after ANSI/ISA-18.2-2016 and IEC 62682, apart from the condition it tells of. An alert about a
 * finding neither latches nor is suppressed; one about a signal may be.
 */
export const alertStates = [
  'unacknowledged',
  'acknowledged',
  'returned-unacknowledged',
  'latched-unacknowledged',
  'latched-acknowledged',
  'normal',
  'shelved',
  'suppressed',
  'out-of-service',
] as const;

/** The state of an alert. */
export type AlertState = (typeof alertStates)[number];

/** How soon an alert must be answered, most urgent first. */
export const alertPriorities = ['emergency', 'high', 'medium', 'low'] as const;

/** How soon an alert must be answered. */
export type AlertPriority = (typeof alertPriorities)[number];

/** What an alert tells of: a signal by its class (NFPA 72, 3.3), or a finding by its severity. */
export const alertClasses = ['alarm', 'supervisory', 'trouble', 'critical', 'high', 'advisory'] as const;

/** What an alert tells of. */
export type AlertClass = (typeof alertClasses)[number];

/** What people owe an alert. */
export const duties = [
  'acknowledge',
  'retransmit',
  'notify-subscriber',
  'call-designated-person',
  'attend-on-site',
  'notify-authority',
  'notify-fire-service',
] as const;

/** What people owe an alert. */
export type Duty = (typeof duties)[number];

/** Whom the station calls. */
export const callees = ['fire-service', 'subscriber', 'designated-person', 'authority'] as const;

/** Whom the station calls. */
export type Callee = (typeof callees)[number];

/** Who is sent: the fire service to a fire, a runner of the station to see to the riser. */
export const dispatchUnits = ['fire-service', 'runner'] as const;

/** Who is sent. */
export type DispatchUnit = (typeof dispatchUnits)[number];

/** How far a dispatch has come. */
export const dispatchStages = ['sent', 'arrived', 'recalled'] as const;

/** How far a dispatch has come. */
export type DispatchStage = (typeof dispatchStages)[number];
