import { deriveEventId } from '@tidemark/journal';
import type { NewEvent } from '@tidemark/journal';
import { encodeAlertEvent } from '@tidemark/alerting';
import { formatInstant, unreachable } from '@tidemark/kernel';
import { findingOnTheWire } from '@tidemark/reasoning';
import type { Output } from '@tidemark/reasoning';
import type { TwinChange } from './riser-fold.ts';

/**
 * What a step made known, as events of the riser's finding stream. Each id follows from the event that caused it and
 * its place among what that event caused, so that folding the event again records nothing twice.
 */
export const outputEvents = ({ recorded, outputs }: TwinChange): readonly NewEvent[] =>
  outputs.map((output, ordinal) => ({
    id: deriveEventId(['twin-output', recorded.stream, recorded.revision.toString(), String(ordinal)]),
    ...contentOf(output),
    metadata: { schema: 1, causedBy: recorded.id, causePosition: recorded.position.toString() },
  }));

function contentOf(output: Output): Pick<NewEvent, 'type' | 'data'> {
  switch (output.type) {
    case 'finding':
      return { type: `finding-${output.finding.status}`, data: { finding: findingOnTheWire(output.finding) } };
    case 'phase-changed':
      return { type: 'phase-changed', data: { phase: output.phase, at: formatInstant(output.at) } };
    case 'alert':
      return encodeAlertEvent(output.event);
    default:
      return unreachable(output);
  }
}
