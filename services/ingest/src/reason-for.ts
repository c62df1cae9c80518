import { reasonCode } from '@tidemark/mqtt';
import type { ReasonCode } from '@tidemark/mqtt';
import type { Verdict } from './arrival.ts';

/** What a publisher is told (MQTT 5). From 0x80 on it does not send the message again, which is right: it is in quarantine. */
export function reasonFor(verdict: Verdict): ReasonCode {
  if (verdict.type !== 'rejected') return reasonCode.success;
  switch (verdict.reason) {
    case 'foreign-topic':
    case 'wrong-channel':
    case 'unknown-riser':
      return reasonCode.topicNameInvalid;
    default:
      return reasonCode.payloadFormatInvalid;
  }
}
