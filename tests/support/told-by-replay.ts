import { Replay } from '@tidemark/cli';
import type { ReplayNews } from '@tidemark/cli';
import { ok } from '@tidemark/kernel';
import type { Finding } from '@tidemark/reasoning';
import { toldLines } from '@tidemark/scenario';
import type { ToldFinding, ToldStory } from '@tidemark/scenario';
import type { Story } from './stories.ts';

/** What replay makes of a story. */
export function toldByReplay({ scenario, profile }: Story): ToldStory {
  const replay = new Replay(profile);
  const lines = toldLines(scenario, profile);
  const news = lines.flatMap(({ receivedAt, json }, index) =>
    replay.take({ number: index + 1, receivedAt, text: ok(JSON.stringify(json)) }),
  );
  const all = [...news, ...replay.runTo(scenario.until)];
  return {
    findings: toldFindings(all.flatMap((each) => (each.kind === 'finding' ? [each.finding] : []))),
    phases: all.flatMap((each): ToldStory['phases'] => (each.kind === 'phase' ? [each] : [])),
    quarantined: all.filter(({ kind }: ReplayNews) => kind === 'quarantine').length,
    duplicates: replay.counts.duplicates,
  };
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
