import { invariant, seededRandom } from '@tidemark/kernel';
import { causeIds } from '@tidemark/words';
import type { CauseId } from '@tidemark/words';
import { oneOf, shuffled } from './random-choice.ts';
import type { Order } from './random-episode.ts';

/** At most so many episodes a part: the seeds of the two parts and of two corpora then never meet. */
export const most = 5_000;

/** Where each part's seeds begin. Fitting looks at the first range only; nothing of it is drawn from the second. */
const firstSeed = { tuning: 1_000_000_000, test: 2_000_000_000 } as const;

/** Of ten episodes three have nothing wrong, and one has two faults at once (choices of this project). */
const tenth = ['normal', 'one', 'one', 'normal', 'one', 'two', 'one', 'one', 'normal', 'one'] as const;

/** The orders of a corpus, half for tuning and half for the test; every cause comes before any comes again. */
export function corpusPlan(seed: number, count: number): readonly Order[] {
  invariant(count >= 2 && count <= 2 * most && seed >= 0 && seed < 100_000, 'a corpus has its own range of seeds');
  return (['tuning', 'test'] as const).flatMap((part) => {
    const first = firstSeed[part] + seed * most;
    const random = seededRandom(first).fork('plan');
    const size = part === 'tuning' ? Math.ceil(count / 2) : Math.floor(count / 2);
    const next = causesInTurn(first);
    return Array.from({ length: size }, (_, index): Order => {
      const kind = tenth[index % tenth.length];
      const causes = kind === 'normal' ? [] : [next(), ...(kind === 'two' ? [oneOf(random, causeIds)] : [])];
      return { part, seed: first + index, causes: [...new Set(causes)] };
    });
  });
}

function causesInTurn(seed: number): () => CauseId {
  let [round, rest] = [0, [] as CauseId[]];
  return () => {
    if (rest.length === 0) {
      rest = [...shuffled(seededRandom(seed).fork(`round ${String(round)}`), causeIds)];
      round += 1;
    }
    const cause = rest.pop();
    invariant(cause !== undefined, 'there are causes');
    return cause;
  };
}
