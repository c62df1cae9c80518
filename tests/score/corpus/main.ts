import { mkdirSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { corpusPlan } from './corpus-plan.ts';
import { randomEpisode } from './random-episode.ts';
import { writeEpisode } from './write-episode.ts';

/** `npm run -s corpus -- DIR [--seed N] [--count N]`: plays and labels episodes, the same ones for the same numbers. */
const { positionals, values } = parseArgs({
  allowPositionals: true,
  options: { seed: { type: 'string', default: '1' }, count: { type: 'string', default: '400' } },
});
const [directory] = positionals;
const [seed, count] = [Number(values.seed), Number(values.count)];
if (directory === undefined || !Number.isInteger(seed) || !Number.isInteger(count)) {
  process.stderr.write('usage: npm run -s corpus -- DIR [--seed N] [--count N]\n');
  process.exit(2);
}
mkdirSync(directory, { recursive: true });
for (const order of corpusPlan(seed, count)) writeEpisode(directory, randomEpisode(order));
process.stderr.write(`${String(count)} episodes in ${directory}\n`);
