import type { JsonObject } from '@tidemark/kernel';
import { formatInstant } from '@tidemark/kernel';
import type { Finding } from '@tidemark/reasoning';
import type { FindingPayload } from '@tidemark/signals';
import type { ReplayCounts, ReplayNews } from './replay.ts';

/** One thing made known as an object of the `--json` output (CONTRACT 7.1). `riser` is `account/riser`. */
export function newsJson(news: ReplayNews, riser: string): object {
  switch (news.kind) {
    case 'finding':
      return { kind: 'finding', ...findingPayloadOf(news.finding) };
    case 'phase':
      return { kind: 'phase', phase: news.phase, at: news.at === undefined ? null : formatInstant(news.at), riser };
    case 'quarantine':
      return { kind: 'quarantine', line: news.line, reason: news.reason, detail: news.detail };
  }
}

/** The last object of the `--json` output. */
export const countsJson = (counts: ReplayCounts): JsonObject => ({ kind: 'summary', ...counts });

/** A finding as section 5 writes it: times as RFC 3339. */
export function findingPayloadOf(finding: Finding): FindingPayload {
  const { at, raisedAt, clearedAt, window, evidence, causes, ...rest } = finding;
  return {
    ...rest,
    at: formatInstant(at),
    raisedAt: formatInstant(raisedAt),
    ...(clearedAt === undefined ? {} : { clearedAt: formatInstant(clearedAt) }),
    ...(window === undefined ? {} : { window: { from: formatInstant(window.from), to: formatInstant(window.to) } }),
    evidence: evidence.map((each) => ({ ...each, at: formatInstant(each.at) })),
    causes: causes.map((group) => ({ ...group, causes: [...group.causes] })),
  };
}
