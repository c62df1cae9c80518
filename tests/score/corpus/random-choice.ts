import { invariant } from '@tidemark/kernel';
import type { Random } from '@tidemark/kernel';

/** One of some, each as likely. */
export function oneOf<Each>(random: Random, all: readonly Each[]): Each {
  const chosen = all[random.between(0, all.length - 1)];
  invariant(chosen !== undefined, 'there is something to choose from');
  return chosen;
}

/** A number between two, evenly. */
export const within = (random: Random, least: number, most: number): number => least + (most - least) * random.next();

/** Whether something of a probability happens. */
export const happens = (random: Random, probability: number): boolean => random.next() < probability;

/** All of them, in an order by chance. */
export function shuffled<Each>(random: Random, all: readonly Each[]): readonly Each[] {
  return all
    .map((each) => ({ each, place: random.next() }))
    .toSorted((one, other) => one.place - other.place)
    .map(({ each }) => each);
}
