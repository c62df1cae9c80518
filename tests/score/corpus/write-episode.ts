import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { RandomEpisode } from './random-episode.ts';

/** Writes the three files of an episode, as `readEpisodes` reads them. */
export function writeEpisode(directory: string, { id, log, truth, yaml }: RandomEpisode): void {
  writeFileSync(join(directory, `${id}.ndjson`), log);
  writeFileSync(join(directory, `${id}.riser.yaml`), yaml);
  writeFileSync(join(directory, `${id}.truth.json`), `${JSON.stringify(truth, null, 2)}\n`);
}
