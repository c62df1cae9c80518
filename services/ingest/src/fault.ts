/** The station is leaving. What was not acknowledged will be sent again. */
export class IntakeClosed extends Error {
  override readonly name = 'IntakeClosed';
  readonly code = 'intake-closed';

  constructor() {
    super('the intake is closed');
  }
}

/** More messages wait for the journal than may be held. The connection they came on is closed; nothing was acknowledged. */
export class GateFull extends Error {
  override readonly name = 'GateFull';
  readonly code = 'gate-full';

  constructor() {
    super('too many messages wait for the journal');
  }
}

/** Why the embedded broker did not start. */
export type BrokerStartCode = 'port-in-use' | 'port-forbidden' | 'open-beyond-loopback' | 'cannot-listen';

/** The embedded broker could not be started; the message says what to do. */
export class BrokerStartFault extends Error {
  override readonly name = 'BrokerStartFault';
  readonly code: BrokerStartCode;

  constructor(code: BrokerStartCode, message: string, cause?: unknown) {
    super(message, { cause });
    this.code = code;
  }
}
