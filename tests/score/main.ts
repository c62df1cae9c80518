import { readEpisodes } from './episode.ts';
import type { Outcome } from './metrics.ts';
import { findingsOf } from './replayed.ts';
import { reportOf } from './report.ts';

/** `npm run score -- DIR`: replays a directory of labelled logs and prints how well they were told, part by part. */
const directory = process.argv[2];
if (directory === undefined) {
  process.stderr.write('usage: npm run score -- DIR (of ID.ndjson, ID.riser.yaml and ID.truth.json)\n');
  process.exit(2);
}
const outcomes: Outcome[] = [];
for (const episode of readEpisodes(directory)) outcomes.push({ episode, told: await findingsOf(episode) });
for (const part of ['tuning', 'test'] as const) {
  const those = outcomes.filter(({ episode }) => episode.truth.part === part);
  if (those.length > 0) process.stdout.write(`${reportOf(`${part} part`, those)}\n\n`);
}
