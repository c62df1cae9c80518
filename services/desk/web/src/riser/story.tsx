import type { RiserKey, RiserView } from '@tidemark/api';
import type { Address } from '../address.ts';
import { Go } from '../parts/go.tsx';
import { Moment } from '../parts/moment.tsx';
import { EventsLink } from './events-link.tsx';

type Opened = Extract<Address, { screen: 'watch' }> & { readonly key: RiserKey };

/** What happened, one line each; each opens the riser as it was then. */
export function Story({ view, address }: { readonly view: RiserView; readonly address: Opened }) {
  return (
    <section className="story">
      <h2>What happened</h2>
      {view.episode === undefined ? (
        <p className="soft">No episode is open.</p>
      ) : (
        <ol>
          {view.episode.story.map(({ at, text, evidence }) => (
            <li key={evidence.id}>
              <Moment at={at} zone={view.site.timeZone} now={Date.parse(view.asOf)} />
              <span>{text.replace(/^\d\d:\d\d:\d\d /, '')}</span>
              <Go to={{ screen: 'watch', key: address.key, asOf: at }}>as it was then</Go>
            </li>
          ))}
        </ol>
      )}
      <p className="soft">
        {view.counts.signals} signals and {view.counts.repeats} repeats so far. <EventsLink riserKey={address.key} />{' '}
        <Go to={{ screen: 'report', key: address.key, ...(address.asOf === undefined ? {} : { asOf: address.asOf }) }}>
          Report to print
        </Go>
      </p>
    </section>
  );
}
