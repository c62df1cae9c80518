import type { RiserKey, RiserView } from '@tidemark/api';
import type { Address } from '../address.ts';
import { goTo } from '../address.ts';
import { useLive, useStationTime_ms } from '../live/use-live.ts';
import { Failure } from '../parts/failure.tsx';
import { Moment } from '../parts/moment.tsx';
import { Schematic } from '../schematic/schematic.tsx';
import { dayAndTime, lasting } from '../time.ts';
import { Timeline } from '../timeline/timeline.tsx';
import { leaveRiser } from '../watch/queue.tsx';
import { UrgencyBlock } from '../watch/urgency-block.tsx';
import { phaseWords } from '../words/riser-words.ts';
import { Actions } from './actions.tsx';
import { Alerts } from './alerts.tsx';
import { Causes } from './causes.tsx';
import { Deeds } from './deeds.tsx';
import { Findings } from './findings.tsx';
import { chosenFinding } from './chosen-finding.ts';
import { Owed } from './owed.tsx';
import { Points } from './points.tsx';
import { Positions } from './positions.tsx';
import { Restoration } from './restoration.tsx';
import { Story } from './story.tsx';
import { useRiser } from './use-riser.ts';

type Opened = Extract<Address, { screen: 'watch' }> & { readonly key: RiserKey };

/** One riser: what is the matter, what to do, why we think so. */
export function RiserPane({ address }: { readonly address: Opened }) {
  const { data: view, error } = useRiser(address.key, address.asOf);
  const { connection } = useLive();
  const back = (
    <button type="button" className="back" onClick={() => leaveRiser(address.key)}>
      All risers
    </button>
  );
  if (view === undefined)
    return (
      <section className="pane">
        {back}
        {error === null ? <p className="soft">Asking for {address.key.riser}</p> : <Failure of={error} />}
      </section>
    );
  const old = address.asOf === undefined && (connection === 'lost' || error !== null);
  return (
    <section className={`pane${old ? ' old' : ''}`} aria-label={`${view.riser}, ${view.site.name}`}>
      {back}
      {address.asOf !== undefined && <Past view={view} address={address} />}
      {error !== null && <Failure of={error} />}
      <RiserContent view={view} address={address} />
    </section>
  );
}

function RiserContent({ view, address }: { readonly view: RiserView; readonly address: Opened }) {
  const station_ms = useStationTime_ms();
  const now_ms = address.asOf === undefined ? Math.max(station_ms, Date.parse(view.asOf)) : Date.parse(view.asOf);
  const finding = chosenFinding(view, address.finding);
  return (
    <>
      <div className="lead">
        <div>
          <h1>{view.headline}</h1>
          <UrgencyBlock urgency={view.urgency} deadline={view.deadline} now_ms={now_ms} />
          <Subline view={view} now_ms={now_ms} />
          {finding !== undefined && finding.advice !== '' && (
            <p className="advice">
              <strong>Next:</strong> {finding.advice}
            </p>
          )}
        </div>
        <Actions view={view} finding={finding} address={address} now_ms={now_ms} />
      </div>
      <Timeline view={view} finding={finding} now_ms={now_ms} isPast={address.asOf !== undefined} />
      <div className="columns">
        <div className="ways">
          <Owed view={view} address={address} now_ms={now_ms} />
          <Restoration view={view} now_ms={now_ms} isPast={address.asOf !== undefined} />
        </div>
        <div className="reasons">
          <div className="pair">
            <Schematic view={view} now_ms={now_ms} />
            <Causes
              finding={finding}
              diagnose={{
                screen: 'diagnose',
                key: address.key,
                ...(address.asOf === undefined ? {} : { asOf: address.asOf }),
              }}
            />
          </div>
          <Findings view={view} chosen={finding} address={address} now_ms={now_ms} />
          <Alerts view={view} address={address} now_ms={now_ms} />
          <Points view={view} now_ms={now_ms} />
          <Positions view={view} />
          <Story view={view} address={address} />
          <Deeds view={view} now_ms={now_ms} />
        </div>
      </div>
    </>
  );
}

function Subline({ view, now_ms }: { readonly view: RiserView; readonly now_ms: number }) {
  const { link, site } = view;
  const heard =
    link.lastHeardAt === undefined
      ? 'never heard'
      : `last heard ${dayAndTime(link.lastHeardAt, site.timeZone, now_ms)}`;
  return (
    <p className="soft subline">
      <span>
        {view.riser}, {site.name}
      </span>
      <span>
        {phaseWords[view.phase]}
        {view.phaseSince !== undefined && ` ${lasting(view.phaseSince, now_ms)}`}
      </span>
      <span>
        {link.state === 'up' ? heard : `link ${link.state === 'unknown' ? 'not known' : link.state}, ${heard}`}
      </span>
      {view.test !== undefined && (
        <span>
          on test
          {view.test.endsAt !== undefined && (
            <>
              {' '}
              until <Moment at={view.test.endsAt} zone={site.timeZone} now={now_ms} />
            </>
          )}
        </span>
      )}
      {view.impairment !== undefined && (
        <span>
          {view.impairment.kind} impairment: {view.impairment.reason}
        </span>
      )}
    </p>
  );
}

function Past({ view, address }: { readonly view: RiserView; readonly address: Opened }) {
  return (
    <p className="band past">
      <strong>Not now:</strong> this is {view.riser} as it was at{' '}
      <Moment at={view.asOf} zone={view.site.timeZone} now={Date.now()} />.{' '}
      <button type="button" onClick={() => goTo({ screen: 'watch', key: address.key })}>
        Back to now
      </button>
    </p>
  );
}
