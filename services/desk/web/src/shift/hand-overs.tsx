import { useQuery } from '@tanstack/react-query';
import { useStationTime_ms } from '../live/use-live.ts';
import { Failure } from '../parts/failure.tsx';
import { Moment } from '../parts/moment.tsx';
import { ask } from '../server.ts';

/** So many of the latest are shown. */
const shown = 10;

/** The latest hand-overs of a site, newest first, with what was open. */
export function HandOvers({ account, zone }: { readonly account: string; readonly zone: string }) {
  const now_ms = useStationTime_ms();
  const { data, error } = useQuery({
    queryKey: ['hand-overs', account],
    queryFn: ({ signal }) => ask('listHandOvers', { params: { account }, query: { limit: shown }, signal }),
  });
  return (
    <section aria-labelledby="hand-overs">
      <h2 id="hand-overs">Hand-overs before</h2>
      {error !== null && <Failure of={error} />}
      {data?.items.length === 0 && <p className="soft">None is recorded.</p>}
      <ol className="hand-overs">
        {data?.items.map(({ id, at, from, to, note, open }) => (
          <li key={id}>
            <h3>
              {from} to {to}, <Moment at={at} zone={zone} now={now_ms} />
            </h3>
            <p>{note}</p>
            <p className="soft">
              {open.length === 0 ? 'Nothing was open.' : `Open then: ${open.map(openWords).join('; ')}.`}
            </p>
          </li>
        ))}
      </ol>
    </section>
  );
}

const openWords = ({
  riser,
  label,
  overdue,
}: {
  readonly riser: string;
  readonly label: string;
  readonly overdue: readonly string[];
}) =>
  `${riser}: ${label.replace(/\.$/, '')}${overdue.length === 0 ? '' : ` (late: ${overdue.join(', ').toLowerCase()})`}`;
