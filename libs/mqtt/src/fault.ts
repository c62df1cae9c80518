/** What can go wrong between a client and its broker. */
export type BrokerFaultCode =
  | 'broker-unreachable'
  | 'broker-silent'
  | 'broker-refused'
  | 'subscription-refused'
  | 'connection-lost'
  | 'protocol-violated';

/** The broker cannot be reached or used. Nothing is lost by it: what was not acknowledged is sent again. */
export class BrokerFault extends Error {
  override readonly name = 'BrokerFault';
  readonly code: BrokerFaultCode;

  constructor(code: BrokerFaultCode, detail: string, cause?: unknown) {
    super(`${code}: ${detail}`, { cause });
    this.code = code;
  }
}
