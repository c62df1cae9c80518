import type { Finding } from '@tidemark/api';
import type { Address } from '../address.ts';
import { Go } from '../parts/go.tsx';
import { causeWords } from '../words/cause-words.ts';

/** Below this the rest is rounding, and "something else" would claim a number it does not have. */
const restFrom = 0.005;

interface Props {
  readonly finding: Finding | undefined;
  /** Where the reasons for the ranking stand. */
  readonly diagnose: Address;
}

/** What it could be: ranked, with numbers that add up to one, and the one check that would tell most. */
export function Causes({ finding, diagnose }: Props) {
  if (finding === undefined)
    return (
      <section className="causes">
        <h2>What it could be</h2>
        <p className="soft">No finding stands, so there is nothing to explain.</p>
      </section>
    );
  const rest = 1 - finding.causes.reduce((sum, { probability }) => sum + probability, 0);
  const check = finding.causes[0]?.check ?? '';
  return (
    <section className="causes">
      <h2>What it could be</h2>
      <ol>
        {finding.causes.map(({ causes, probability }) => (
          <Cause key={causes.join()} words={causes.map((each) => causeWords[each])} probability={probability} />
        ))}
        {rest >= restFrom && <Cause words={['Something else']} probability={rest} isRest />}
      </ol>
      <p>
        <Go to={diagnose}>Why, and what was found on site</Go>
      </p>
      {check !== '' && (
        <p className="one-check">
          <strong>One check tells most.</strong> {check}
        </p>
      )}
    </section>
  );
}

interface CauseProps {
  readonly words: readonly string[];
  readonly probability: number;
  readonly isRest?: boolean;
}

/** Causes that the signals cannot tell apart share one number. */
export function Cause({ words, probability, isRest = false }: CauseProps) {
  return (
    <li className={isRest ? 'rest' : undefined}>
      <span className="cause-words">
        {words[0]}
        {words.length > 1 && <small>or: {words.slice(1).join('; ').toLowerCase()}</small>}
      </span>
      <svg className="share" viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true">
        <rect width="100" height="8" className="track" />
        <rect width={probability * 100} height="8" className="part" />
      </svg>
      <span className="figure">{probability.toFixed(2)}</span>
    </li>
  );
}
