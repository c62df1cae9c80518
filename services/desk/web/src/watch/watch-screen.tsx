import type { RiserKey } from '@tidemark/api';
import { useEffect, useRef } from 'react';
import type { Address } from '../address.ts';
import { goTo } from '../address.ts';
import { useLive, useStationTime_ms } from '../live/use-live.ts';
import { RiserPane } from '../riser/riser-pane.tsx';
import { dayAndTime } from '../time.ts';
import { Fleet, FleetBySite } from './fleet.tsx';
import { Queue } from './queue.tsx';

/** Narrower than this, list and riser are two screens. The same figure stands in the style sheet. */
const twoPanes = '(min-width: 60rem)';

type Watch = Extract<Address, { screen: 'watch' }>;

/** What needs a person, and beside it the riser that is opened. */
export function WatchScreen({ address }: { readonly address: Watch }) {
  const { risers, connection } = useLive();
  const now_ms = useStationTime_ms();
  const asking = risers.filter(({ urgency }) => urgency !== 'none');
  const quiet = risers.filter(({ urgency }) => urgency === 'none');
  useOpenMostUrgent(address.key, asking[0]);
  return (
    <main className={`watch${address.key === undefined ? '' : ' opened'}`}>
      <section className="list" aria-label="Risers">
        <ListTitle isMain={address.key === undefined}>{listTitle(connection, asking.length)}</ListTitle>
        <Queue risers={asking} opened={address.key} now_ms={now_ms} />
        {quiet.length > 0 && (asking.length > 0 || address.key !== undefined) && (
          <>
            <h2>Quiet, {plural(quiet.length, 'riser')}</h2>
            <FleetBySite risers={quiet} />
          </>
        )}
      </section>
      {address.key === undefined ? (
        <Quiet isKnown={connection !== 'connecting'} asking={asking.length} />
      ) : (
        <RiserPane address={{ ...address, key: address.key }} key={`${address.key.account}/${address.key.riser}`} />
      )}
    </main>
  );
}

/** The page has one first heading: the riser's, or the list's while none is opened. It looks the same either way. */
const ListTitle = ({ isMain, children }: { readonly isMain: boolean; readonly children: string }) =>
  isMain ? <h1 className="list-title">{children}</h1> : <h2 className="list-title">{children}</h2>;

/** Nothing to do is a state of its own: the fleet at a glance, and since when that has been so. */
function Quiet({ isKnown, asking }: { readonly isKnown: boolean; readonly asking: number }) {
  const { risers } = useLive();
  const now_ms = useStationTime_ms();
  if (!isKnown) return <section className="pane" />;
  const tests = risers.flatMap((riser) =>
    riser.testEndsAt === undefined ? [] : [{ riser, endsAt: riser.testEndsAt }],
  );
  return (
    <section className="pane quiet" aria-label="The fleet">
      <h2 className="title">
        {asking === 0 ? quietSentence(risers.length) : `${plural(asking, 'riser needs', 'risers need')} a person.`}
      </h2>
      {risers.length === 0 && <p>A riser is added by its profile. See the station’s configuration.</p>}
      <Fleet risers={risers} size="large" />
      {tests.map(({ riser, endsAt }) => (
        <p key={riser.riser}>
          A test on {riser.riser} ends at {dayAndTime(endsAt, riser.site.timeZone, now_ms)}.
        </p>
      ))}
      <p className="legend">
        Blue: water stands here. Empty: it does not. Hatched: nobody can see from here. A bar across is a seat that is
        shut, a raised bar one that is open.
      </p>
    </section>
  );
}

const quietSentence = (count: number): string =>
  count === 0
    ? 'This station keeps no riser yet.'
    : `Nothing needs a person. ${plural(count, 'riser is', 'risers are')} quiet.`;

const listTitle = (connection: string, asking: number): string => {
  if (connection === 'connecting') return 'Asking the station';
  return asking === 0 ? 'Nothing needs a person' : 'Needs a person, soonest first';
};

const plural = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`;

/** At the start, and only then, the most urgent riser is opened where there is room for it beside the list. */
function useOpenMostUrgent(opened: RiserKey | undefined, first: RiserKey | undefined): void {
  const done = useRef(opened !== undefined);
  useEffect(() => {
    if (done.current || first === undefined) return;
    done.current = true;
    if (matchMedia(twoPanes).matches)
      goTo({ screen: 'watch', key: { account: first.account, riser: first.riser } }, 'replace');
  }, [first]);
}
