import { Replay } from '@tidemark/cli';
import type { ReplayNews } from '@tidemark/cli';
import { ok } from '@tidemark/kernel';
import type { Finding } from '@tidemark/reasoning';
import { toldLines } from '@tidemark/scenario';
import type { ToldFinding, ToldStory } from '@tidemark/scenario';
import type { Story } from './stories.ts';

/** What replay makes of a story. */
export function toldByReplay(story: Story): ToldStory {
  const { news, duplicates } = replayed(story);
  return {
    findings: toldFindings(findingsIn(news)),
    phases: news.flatMap((each): ToldStory['phases'] => (each.kind === 'phase' ? [each] : [])),
    quarantined: news.filter(({ kind }) => kind === 'quarantine').length,
    duplicates,
  };
}

/** Every message about a finding that replay gives, in its order. */
export const findingsInReplay = (story: Story): readonly Finding[] => findingsIn(replayed(story).news);

const findingsIn = (news: readonly ReplayNews[]): readonly Finding[] =>
  news.flatMap((each) => (each.kind === 'finding' ? [each.finding] : []));

function replayed({ scenario, profile }: Story): { readonly news: readonly ReplayNews[]; readonly duplicates: number } {
  const replay = new Replay(profile);
  const news = toldLines(scenario, profile).flatMap(({ receivedAt, json }, index) =>
    replay.take({ number: index + 1, receivedAt, text: ok(JSON.stringify(json)) }),
  );
  return { news: [...news, ...replay.runTo(scenario.until)], duplicates: replay.counts.duplicates };
}

/** Puts the messages about findings together, one finding an id. What it was when raised counts, and whether it was cleared. */
export function toldFindings(messages: readonly Finding[]): readonly ToldFinding[] {
  const told = new Map<string, ToldFinding>();
  for (const finding of messages) {
    const { code, severity, raisedAt, explanation } = finding;
    const causes = finding.causes.flatMap((group) => group.causes);
    const known = told.get(finding.id) ?? { code, severity, raisedAt, explanation, causes, clearedAt: undefined };
    told.set(finding.id, { ...known, clearedAt: finding.status === 'cleared' ? finding.at : undefined });
  }
  return [...told.values()];
}
