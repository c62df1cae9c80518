import type { RiserView } from '@tidemark/api';
import { elementWords, phaseWords, pointWords, stepWords } from '../words/riser-words.ts';

/** One thing that stands otherwise at the second moment. */
export interface Difference {
  readonly what: string;
  readonly first: string;
  readonly second: string;
}

/** What differs between a riser at two moments: phase, points, inferred positions, findings, steps. */
export function differencesOf(first: RiserView, second: RiserView): readonly Difference[] {
  const [before, after] = [factsOf(first), factsOf(second)];
  return [...new Set([...before.keys(), ...after.keys()])].flatMap((what) => {
    const [one, other] = [before.get(what) ?? 'none', after.get(what) ?? 'none'];
    return one === other ? [] : [{ what, first: one, second: other }];
  });
}

/** Everything that is compared, by its name, in the order of reading. */
const factsOf = (view: RiserView): ReadonlyMap<string, string> =>
  new Map([
    ['Phase', phaseWords[view.phase]],
    ['Link', view.link.state],
    ...view.points.map(({ label, point, state }): [string, string] => [
      `Point ${point ?? ''} ${label}`.replace('  ', ' '),
      pointWords[state],
    ]),
    ...view.positions.map(({ element, position, certainty }): [string, string] => [
      `${elementWords[element]}, inferred`,
      certainty === 0 ? 'cannot be seen' : `${position}, ${certainty.toFixed(2)}`,
    ]),
    ...view.findings.map(({ code, status }): [string, string] => [
      `Finding: ${code.replaceAll('-', ' ')}`,
      status === 'cleared' ? 'cleared' : 'stands',
    ]),
    ...view.restoration.map(({ title, status }): [string, string] => [`Step: ${title}`, stepWords[status]]),
  ]);
