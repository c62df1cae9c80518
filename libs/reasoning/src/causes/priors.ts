import type { Facts } from '../facts.ts';
import type { Priors } from './infer.ts';

/**
 * Work leaves valves behind: after an announced test or a declared impairment these count twice as likely (choice of
 * this project; MODEL 4.8 asks to weigh "after work" and gives no figure).
 */
const leftByWork: Priors = {
  'supply-shut-unseen': 2,
  'prime-valve-shut': 2,
  'manual-release-left-open': 2,
  'alarm-line-isolated': 2,
  'release-left-disabled': 2,
  'drains-not-opened': 2,
};

const even: Priors = {};

/** How likely each fault is before this episode's signals. */
export function priorsOf({ picture }: Facts): Priors {
  const worked =
    picture.impairments.some(({ end }) => end !== undefined) || picture.tests.some(({ end }) => end !== undefined);
  return worked ? leftByWork : even;
}
