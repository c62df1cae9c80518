import { formatInstant } from '@tidemark/kernel';
import type { AlertState, CauseId, FindingCode, Severity } from '@tidemark/words';
import type { Finding } from './finding.ts';

/** A finding as it is sent, journaled and printed (CONTRACT 5): times as RFC 3339, what is absent left out. A type and no interface, so that it is JSON. */
export type FindingOnTheWire = {
  readonly id: string;
  readonly code: FindingCode;
  readonly riser: string;
  readonly severity: Severity;
  readonly status: Finding['status'];
  readonly alertState: AlertState;
  readonly at: string;
  readonly raisedAt: string;
  readonly clearedAt?: string;
  readonly window?: { from: string; to: string };
  readonly evidence: { id: string; what: string; at: string }[];
  readonly explanation: string;
  readonly causes: { causes: CauseId[]; probability: number; check: string }[];
  readonly advice: string;
  readonly caution: string;
};

/** Writes a finding for any boundary, so that MQTT, the journal, the API and a replay say the same. */
export function findingOnTheWire(finding: Finding): FindingOnTheWire {
  const { at, raisedAt, clearedAt, window, evidence, causes, ...rest } = finding;
  return {
    ...rest,
    at: formatInstant(at),
    raisedAt: formatInstant(raisedAt),
    ...(clearedAt === undefined ? {} : { clearedAt: formatInstant(clearedAt) }),
    ...(window === undefined ? {} : { window: { from: formatInstant(window.from), to: formatInstant(window.to) } }),
    evidence: evidence.map(({ id, what, at: moment }) => ({ id, what, at: formatInstant(moment) })),
    causes: causes.map((group) => ({ ...group, causes: [...group.causes] })),
  };
}
