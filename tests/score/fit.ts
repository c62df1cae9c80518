import { mkdtempSync, rmSync } from 'node:fs';
import { open } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Replay, indexLines, linesInOrder } from '@tidemark/cli';
import type { Instant } from '@tidemark/kernel';
import { observationsOf } from '@tidemark/reasoning';
import type { CauseId } from '@tidemark/reasoning';
import { corpusPlan } from './corpus/corpus-plan.ts';
import { randomEpisode } from './corpus/random-episode.ts';
import { writeEpisode } from './corpus/write-episode.ts';
import { readEpisodes } from './episode.ts';
import type { LabelledEpisode } from './episode.ts';

/**
 * `npm run -s fit -- [COUNT]`: plays episodes of the tuning part with one fault each, and prints how often each fault
 * brought each value of each variable, as libs/reasoning/src/causes/played.ts holds it. The test part is not touched.
 */
const count = Number(process.argv[2] ?? '2000');
/** A corpus of its own: no episode of it is in the one that is scored by default (seed 1). */
const corpus = 2;

type Counts = Map<CauseId, Map<string, Map<string, number>>>;

const minute_ms = 60_000;

const counts: Counts = new Map();
const directory = mkdtempSync(join(tmpdir(), 'tidemark-fit-'));
try {
  for (const order of corpusPlan(corpus, 2 * count))
    if (order.part === 'tuning' && order.causes.length === 1) writeEpisode(directory, randomEpisode(order));
  for (const episode of readEpisodes(directory)) {
    const [injected] = episode.truth.injected;
    if (injected !== undefined) add(injected.cause, await observedIn(episode));
  }
} finally {
  rmSync(directory, { recursive: true });
}
process.stdout.write(asModule());

/** The values seen in an episode; of one that changed, the last that was not what a sound riser brings. */
async function observedIn({ log, profile, truth }: LabelledEpisode): Promise<ReadonlyMap<string, string>> {
  const seen = new Map<string, string>();
  const replay = new Replay(profile);
  const look = (now: Instant | undefined): void => {
    if (replay.twin === undefined || now === undefined || replay.twin.ledger.size === 0) return;
    for (const [name, observed] of Object.entries(observationsOf(replay.twin, now))) seen.set(name, observed.value);
  };
  const file = await open(log);
  try {
    const index = await indexLines(file);
    for await (const line of linesInOrder(file, index)) {
      for (
        let next = replay.now;
        next !== undefined && line.receivedAt !== undefined && next + minute_ms < line.receivedAt;
      ) {
        next = (next + minute_ms) as Instant;
        replay.runTo(next);
        look(next);
      }
      replay.take(line);
      look(line.receivedAt);
    }
    for (let next = replay.now; next !== undefined && next < truth.until;) {
      next = Math.min(next + minute_ms, truth.until) as Instant;
      replay.runTo(next);
      look(next);
    }
  } finally {
    await file.close();
  }
  return seen;
}

function add(cause: CauseId, seen: ReadonlyMap<string, string>): void {
  const ofCause = counts.get(cause) ?? new Map<string, Map<string, number>>();
  counts.set(cause, ofCause);
  for (const [name, value] of seen) {
    const values = ofCause.get(name) ?? new Map<string, number>();
    ofCause.set(name, values);
    values.set(value, (values.get(value) ?? 0) + 1);
  }
}

function asModule(): string {
  const entries = [...counts]
    .sort(([one], [other]) => (one < other ? -1 : 1))
    .map(([cause, names]) => {
      const lines = [...names]
        .sort(([one], [other]) => (one < other ? -1 : 1))
        .map(
          ([name, values]) =>
            `${name}: { ${[...values]
              .sort()
              .map(([value, times]) => `'${value}': ${times}`)
              .join(', ')} }`,
        );
      return `  '${cause}': { ${lines.join(', ')} },`;
    });
  return `import type { Counted } from './mode.ts';

/**
 * How often each fault brought each value, over ${count} episodes of the tuning part (corpus ${corpus}) of which those with
 * one fault count. Written by \`npm run -s fit\`; change nothing here by hand.
 */
export const played: Counted = {
${entries.join('\n')}
};
`;
}
