import { useInfiniteQuery } from '@tanstack/react-query';
import type { RiserEvent, RiserKey } from '@tidemark/api';
import { pathTo, routes } from '@tidemark/api';
import { keyText } from '../address.ts';
import { Failure } from '../parts/failure.tsx';
import { Go } from '../parts/go.tsx';
import { Moment } from '../parts/moment.tsx';
import { ask } from '../server.ts';
import { inChosenUnits, useUnits } from '../units.ts';
import { commandWords } from '../words/command-words.ts';
import { signalWords } from '../words/riser-words.ts';

/** Everything recorded about a riser, newest first, with both clocks. */
export function EventsScreen({ riserKey, zone }: { readonly riserKey: RiserKey; readonly zone: string }) {
  const { data, error, hasNextPage, fetchNextPage } = useInfiniteQuery({
    queryKey: ['events', keyText(riserKey), 'all'],
    queryFn: ({ pageParam, signal }) =>
      ask('listEvents', { params: riserKey, query: { cursor: pageParam, limit: 100 }, signal }),
    initialPageParam: undefined as string | undefined,
    getNextPageParam: ({ next }) => next,
  });
  return (
    <main className="records">
      <h1>{riserKey.riser}, all recorded events</h1>
      <p>
        <Go to={{ screen: 'watch', key: riserKey }}>Back to the riser</Go>{' '}
        <a href={pathTo(routes.exportCsv, riserKey)} download>
          Everything as a table (CSV)
        </a>{' '}
        <a href={pathTo(routes.exportNdjson, riserKey)} download>
          Everything as NDJSON
        </a>
      </p>
      {error !== null && <Failure of={error} />}
      <div className="scroll" tabIndex={0} role="region" aria-label="Events">
        <table>
          <thead>
            <tr>
              <th scope="col">Panel’s clock</th>
              <th scope="col">Received</th>
              <th scope="col">What</th>
              <th scope="col">From</th>
              <th scope="col">The riser then</th>
            </tr>
          </thead>
          <tbody>
            {data?.pages.flatMap(({ items }) =>
              items.map((event) => <Row key={event.id} event={event} riserKey={riserKey} zone={zone} />),
            )}
          </tbody>
        </table>
      </div>
      {hasNextPage && (
        <button type="button" onClick={() => void fetchNextPage()}>
          Older
        </button>
      )}
    </main>
  );
}

function Row({
  event,
  riserKey,
  zone,
}: {
  readonly event: RiserEvent;
  readonly riserKey: RiserKey;
  readonly zone: string;
}) {
  const units = useUnits();
  const observed = event.type === 'signal' ? event.observedAt : undefined;
  return (
    <tr className={event.type}>
      <td>{observed === undefined ? '' : <Moment at={observed} zone={zone} now={Date.now()} />}</td>
      <td>
        <Moment at={event.receivedAt} zone={zone} now={Date.now()} />
      </td>
      <td>{eventWords(event, (value, unit) => inChosenUnits(value, unit, units))}</td>
      <td className="soft">{'source' in event ? event.source : event.type === 'command' ? event.by : ''}</td>
      <td>
        <Go to={{ screen: 'watch', key: riserKey, asOf: event.position }}>as it was</Go>
      </td>
    </tr>
  );
}

/** What an event was, in words; readings as the given function writes them. */
export function eventWords(event: RiserEvent, reading: (value: number, unit: string) => string): string {
  switch (event.type) {
    case 'signal': {
      const name = event.label ?? signalWords(event.signal);
      if (event.reading !== undefined) return `${name}: ${reading(event.reading.value, event.reading.unit)}`;
      return `${name}: ${event.state ?? ''}${event.text === undefined ? '' : `, “${event.text}”`}`;
    }
    case 'repeat':
      return 'The same signal again, counted once';
    case 'link':
      return `Link ${event.link}`;
    case 'command':
      return `${event.by} ${commandWords(event.command)}`;
    case 'profile':
      return 'Profile installed';
    case 'time':
      return 'A deadline was reached';
    case 'unreadable':
      return `This build cannot read the record: ${event.reason}`;
  }
}
