import { untilOrLate } from '../time.ts';

interface Props {
  readonly at: string;
  readonly now_ms: number;
}

/** A deadline as a countdown: a filled block once it is late, an outlined one before; the words say it as well. */
export const Due = ({ at, now_ms }: Props) => (
  <span className={`due ${Date.parse(at) < now_ms ? 'late' : 'open'}`}>{untilOrLate(at, now_ms)}</span>
);
