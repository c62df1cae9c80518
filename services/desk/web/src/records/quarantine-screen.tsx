import { useInfiniteQuery } from '@tanstack/react-query';
import type { Quarantined } from '@tidemark/api';
import { Failure } from '../parts/failure.tsx';
import { Moment } from '../parts/moment.tsx';
import { ask } from '../server.ts';

/** What could not be read, as it came: why, from where, and its beginning as text that can do nothing. */
export function QuarantineScreen({ zone }: { readonly zone: string }) {
  const { data, error, hasNextPage, fetchNextPage } = useInfiniteQuery({
    queryKey: ['quarantine'],
    queryFn: ({ pageParam, signal }) => ask('listQuarantine', { query: { cursor: pageParam, limit: 50 }, signal }),
    initialPageParam: undefined as string | undefined,
    getNextPageParam: ({ next }) => next,
  });
  const items = data?.pages.flatMap((page) => page.items) ?? [];
  return (
    <main className="records">
      <h1>Quarantine</h1>
      <p className="soft">
        Messages that are not valid signals. Nothing is thrown away, and nothing here is taken as true.
      </p>
      {error !== null && <Failure of={error} />}
      {data !== undefined && items.length === 0 && <p>Nothing is in quarantine.</p>}
      <ol className="quarantine">
        {items.map((item) => (
          <Item key={item.id} item={item} zone={zone} />
        ))}
      </ol>
      {hasNextPage && (
        <button type="button" onClick={() => void fetchNextPage()}>
          Older
        </button>
      )}
    </main>
  );
}

function Item({ item, zone }: { readonly item: Quarantined; readonly zone: string }) {
  const { payload } = item;
  return (
    <li>
      <h2>{item.reason.replaceAll('-', ' ')}</h2>
      <p>{item.detail}</p>
      <p className="soft">
        <Moment at={item.receivedAt} zone={zone} now={Date.now()} /> on <code>{item.topic}</code>
        {item.contentType !== undefined && <>, {item.contentType}</>}, {payload.length_bytes} bytes
        {payload.encoding === 'bytes' && ', not text'}
      </p>
      <pre tabIndex={0} aria-label="Payload, escaped">
        {payload.text === '' ? '(empty)' : payload.text}
      </pre>
      {payload.omitted_bytes > 0 && <p className="soft">{payload.omitted_bytes} more bytes are not shown.</p>}
    </li>
  );
}
