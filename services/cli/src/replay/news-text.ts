import type { Instant } from '@tidemark/kernel';
import type { Paint } from '../paint.ts';
import type { ReplayCounts, ReplayNews } from './replay.ts';
import type { SiteClock } from '../site-clock.ts';

/** How a person reads a replay: the site's clock, and colours where a terminal shows them. */
export interface TextOptions {
  readonly clock: SiteClock;
  readonly paint: Paint;
}

/** One line per change. The words carry the meaning; a colour only repeats it. */
export function newsText(news: ReplayNews, { clock, paint }: TextOptions): string {
  const at = (moment: Instant | undefined): string => (moment === undefined ? clock.blank : clock.show(moment));
  switch (news.kind) {
    case 'phase':
      return `${at(news.at)}  phase        ${paint.bold(news.phase)}`;
    case 'quarantine':
      return `${at(news.receivedAt)}  quarantined  line ${news.line}: ${news.reason}: ${news.detail}`;
    case 'finding': {
      const { finding } = news;
      const head = `${finding.severity} ${finding.code}`;
      const painted = finding.status === 'cleared' ? head : paint[colourOf[finding.severity]](head);
      return `${at(finding.at)}  ${finding.status.padEnd(11)}  ${painted}: ${oneLine(finding.explanation)}`;
    }
  }
}

/** Red, orange and yellow as ISO 3864 uses them; a terminal has no orange. */
const colourOf = { critical: 'red', high: 'yellow', advisory: 'plain' } as const;

/** Line breaks and control characters could pass off a line of their own. */
const oneLine = (text: string): string => text.replace(/[\u0000-\u001f\u007f-\u009f]+/g, ' ');

/** The last lines: what was read, and which findings were raised how often. */
export function countsText(counts: ReplayCounts): string {
  const { lines, signals, commands, links, duplicates, quarantined } = counts;
  const findings = Object.entries(counts.findings)
    .map(([code, count]) => `${code} ${count}`)
    .join(', ');
  return [
    `${lines} lines: ${signals} signals, ${commands} commands, ${links} link messages, ${duplicates} duplicates, ${quarantined} quarantined`,
    findings === '' ? 'No findings.' : `Findings raised: ${findings}`,
  ].join('\n');
}
