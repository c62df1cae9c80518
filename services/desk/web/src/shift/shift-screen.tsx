import { useMutation, useQueryClient } from '@tanstack/react-query';
import type { RiserSummary } from '@tidemark/api';
import { accountsWith, isAmong, routes } from '@tidemark/api';
import { useRef, useState } from 'react';
import { useWho } from '../access/use-who.ts';
import { goTo } from '../address.ts';
import { useLive, useStationTime_ms } from '../live/use-live.ts';
import { Due } from '../parts/due.tsx';
import { Go } from '../parts/go.tsx';
import { RecordFormFrame, Line } from '../record/form-parts.tsx';
import { ask } from '../server.ts';
import { urgencyWords } from '../words/riser-words.ts';
import { unansweredWords } from '../words/alert-words.ts';
import { HandOvers } from './hand-overs.tsx';

/** Hands a shift over: what is open at one site, a note, to whom. The station records what is open with it. */
export function ShiftScreen({ account }: { readonly account: string | undefined }) {
  const { risers, connection } = useLive();
  const { grants } = useWho().who;
  const mine = accountsWith(grants, routes.handOver.access.who);
  const sites = new Map(risers.filter((each) => isAmong(mine, each.account)).map((each) => [each.account, each.site]));
  const chosen = account ?? [...sites.keys()].toSorted()[0];
  const site = chosen === undefined ? undefined : sites.get(chosen);
  if (chosen === undefined || site === undefined)
    return (
      <main className="records">
        <h1>Hand over the shift</h1>
        <p>
          {connection === 'connecting' ? 'Asking the station' : 'There is no site whose shift you could hand over.'}
        </p>
      </main>
    );
  const own = risers.filter((each) => each.account === chosen);
  return (
    <main className="records shift">
      <h1>Hand over the shift at {site.name}</h1>
      {sites.size > 1 && (
        <label className="field">
          Site
          <select
            value={chosen}
            onChange={(event) => goTo({ screen: 'shift', account: event.target.value }, 'replace')}
          >
            {[...sites].map(([each, { name }]) => (
              <option key={each} value={each}>
                {name}
              </option>
            ))}
          </select>
        </label>
      )}
      <OpenItems risers={own.filter(isOpen)} />
      <HandOverForm account={chosen} key={chosen} />
      <HandOvers account={chosen} zone={site.timeZone} />
    </main>
  );
}

const isOpen = ({ urgency, openAlerts, testEndsAt }: RiserSummary): boolean =>
  urgency !== 'none' || openAlerts.unacknowledged > 0 || openAlerts.shelved > 0 || testEndsAt !== undefined;

function OpenItems({ risers }: { readonly risers: readonly RiserSummary[] }) {
  const now_ms = useStationTime_ms();
  return (
    <section aria-labelledby="open-items">
      <h2 id="open-items">Open now, {risers.length}</h2>
      {risers.length === 0 && <p>Nothing is open.</p>}
      <ul className="open-items">
        {risers.map(({ account, riser, headline, urgency, openAlerts, testEndsAt }) => (
          <li key={riser}>
            <h3>
              <Go to={{ screen: 'watch', key: { account, riser } }}>{riser}</Go>, {urgencyWords[urgency]}
            </h3>
            <p>{headline}</p>
            {openAlerts.nextDuty !== undefined && (
              <p>
                {openAlerts.nextDuty.title} <Due at={openAlerts.nextDuty.dueAt} now_ms={now_ms} />
                {openAlerts.level > 0 && <span className="escalated">escalated, step {openAlerts.level}</span>}
              </p>
            )}
            {openAlerts.unacknowledged > 0 && (
              <p className="soft">Not acknowledged: {unansweredWords(openAlerts.unanswered)}</p>
            )}
            {openAlerts.shelved > 0 && <p className="soft">{openAlerts.shelved} shelved</p>}
            {testEndsAt !== undefined && <p className="soft">On test</p>}
          </li>
        ))}
      </ul>
    </section>
  );
}

/** The id is chosen once for what is typed, so that sending it again after a lost answer records nothing twice. */
function HandOverForm({ account }: { readonly account: string }) {
  const cache = useQueryClient();
  const { connection } = useLive();
  const [to, setTo] = useState('');
  const [note, setNote] = useState('');
  const id = useRef(crypto.randomUUID());
  const giving = useMutation({
    mutationFn: () =>
      ask('handOver', { params: { account }, body: { id: id.current, to: to.trim(), note: note.trim() } }),
    onSuccess: () => {
      id.current = crypto.randomUUID();
      setTo('');
      setNote('');
      return cache.invalidateQueries({ queryKey: ['hand-overs', account] });
    },
  });
  const isCut = connection === 'lost';
  return (
    <RecordFormFrame
      title="Hand over"
      submit="Hand over the shift"
      giving={{ isBusy: giving.isPending || isCut, isCut, failure: giving.error }}
      isReady={to.trim() !== '' && note.trim() !== ''}
      onSubmit={() => {
        giving.mutate();
      }}
      onLeave={() => {
        goTo({ screen: 'watch', key: undefined });
      }}
    >
      <Line label="To" value={to} limit={80} isRequired onType={setTo} />
      <Line label="What the next shift must know" value={note} limit={2_000} isRequired onType={setNote} />
      <p className="soft">What is open above is recorded with it, as it stands at that moment.</p>
    </RecordFormFrame>
  );
}
