import type { RiserSummary } from '@tidemark/api';
import { untilOrLate } from '../time.ts';
import { urgencyWords } from '../words/riser-words.ts';

type Props = Pick<RiserSummary, 'urgency' | 'deadline'> & { readonly now_ms: number };

/** How soon, by weight and by words: filled for now, outlined for soon, plain for when convenient. */
export function UrgencyBlock({ urgency, deadline, now_ms }: Props) {
  if (urgency === 'none') return null;
  const late = deadline !== undefined && Date.parse(deadline.at) < now_ms;
  return (
    <p className="urgency-line">
      <span className={`urgency ${urgency}`}>
        {urgencyWords[urgency]}
        {deadline !== undefined && `, ${untilOrLate(deadline.at, now_ms)}`}
      </span>
      {deadline !== undefined && (
        <span className="decides">
          {late ? 'was due: ' : 'due: '}
          {lower(deadline.what)}
        </span>
      )}
    </p>
  );
}

const lower = (text: string): string => `${text.charAt(0).toLowerCase()}${text.slice(1)}`;
