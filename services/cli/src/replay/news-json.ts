import type { JsonObject } from '@tidemark/kernel';
import { formatInstant } from '@tidemark/kernel';
import { findingOnTheWire } from '@tidemark/reasoning';
import type { ReplayCounts, ReplayNews } from './replay.ts';

/** One thing made known as an object of the `--json` output (CONTRACT 7.1). `riser` is `account/riser`. */
export function newsJson(news: ReplayNews, riser: string): object {
  switch (news.kind) {
    case 'finding':
      return { kind: 'finding', ...findingOnTheWire(news.finding) };
    case 'phase':
      return { kind: 'phase', phase: news.phase, at: news.at === undefined ? null : formatInstant(news.at), riser };
    case 'quarantine':
      return { kind: 'quarantine', line: news.line, reason: news.reason, detail: news.detail };
  }
}

/** The last object of the `--json` output. */
export const countsJson = (counts: ReplayCounts): JsonObject => ({ kind: 'summary', ...counts });
