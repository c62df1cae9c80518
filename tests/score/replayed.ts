import { open } from 'node:fs/promises';
import { Replay, indexLines, linesInOrder } from '@tidemark/cli';
import type { Instant } from '@tidemark/kernel';
import type { Finding, FindingCode } from '@tidemark/reasoning';
import type { LabelledEpisode } from './episode.ts';

/** One finding as an episode told it: when it was raised, and what it last said while it stood. */
export interface ToldFinding {
  readonly code: FindingCode;
  readonly raisedAt: Instant;
  /** Its ranked causes before it was cleared. */
  readonly causes: Finding['causes'];
}

/** Runs a log through replay, the very way `tidemark replay` does, and gathers its findings in order of raising. */
export async function findingsOf({ log, profile, truth }: LabelledEpisode): Promise<readonly ToldFinding[]> {
  const told = new Map<string, ToldFinding>();
  const file = await open(log);
  try {
    const replay = new Replay(profile);
    const index = await indexLines(file);
    const hear = (finding: Finding): void => {
      if (finding.status === 'cleared') return;
      told.set(finding.id, { code: finding.code, raisedAt: finding.raisedAt, causes: finding.causes });
    };
    for await (const line of linesInOrder(file, index))
      for (const news of replay.take(line)) if (news.kind === 'finding') hear(news.finding);
    for (const news of replay.runTo(truth.until)) if (news.kind === 'finding') hear(news.finding);
  } finally {
    await file.close();
  }
  return [...told.values()];
}
