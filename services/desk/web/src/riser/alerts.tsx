import type { Alert, RiserKey, RiserView } from '@tidemark/api';
import { speakDuration } from '@tidemark/kernel';
import type { Address } from '../address.ts';
import { Due } from '../parts/due.tsx';
import { Failure } from '../parts/failure.tsx';
import { Go } from '../parts/go.tsx';
import { Moment } from '../parts/moment.tsx';
import { useCommand } from '../use-command.ts';
import { alertName, alertStateWords, escalationWords } from '../words/alert-words.ts';
import { withForm } from './actions.tsx';

type Opened = Extract<Address, { screen: 'watch' }> & { readonly key: RiserKey };

interface Props {
  readonly view: RiserView;
  readonly address: Opened;
  readonly now_ms: number;
}

/** Everything that asks for a person: how it stands, who answered, what is owed it, and whether it may be shelved. */
export function Alerts({ view, address, now_ms }: Props) {
  if (view.alerts.length === 0) return null;
  return (
    <section className="alerts">
      <h2>Alerts, {view.alerts.length}</h2>
      <ul>
        {view.alerts.map((alert) => (
          <li key={alert.id}>
            <h3>
              {alertName(alert)} <span className="priority">{alert.priority} priority</span>
            </h3>
            <Standing alert={alert} zone={view.site.timeZone} now_ms={now_ms} />
            <Duties alert={alert} zone={view.site.timeZone} now_ms={now_ms} />
            {address.asOf === undefined && <Handles alert={alert} view={view} address={address} />}
          </li>
        ))}
      </ul>
    </section>
  );
}

interface OneProps {
  readonly alert: Alert;
  readonly zone: string;
  readonly now_ms: number;
}

function Standing({ alert, zone, now_ms }: OneProps) {
  const escalation = escalationWords(alert);
  return (
    <>
      <p className="soft">
        {alertStateWords[alert.state]}
        {alert.acknowledged !== undefined && (
          <>
            {' '}
            by {alert.acknowledged.by}, <Moment at={alert.acknowledged.at} zone={zone} now={now_ms} />
          </>
        )}
        ; raised <Moment at={alert.raisedAt} zone={zone} now={now_ms} />
        {alert.activations > 1 && `, ${alert.activations} times`}
        {alert.aside !== undefined && `; ${alert.aside.why}`}
      </p>
      {alert.shelving !== undefined && (
        <p>
          Shelved by {alert.shelving.by} until <Moment at={alert.shelving.until} zone={zone} now={now_ms} />:{' '}
          {alert.shelving.reason}
        </p>
      )}
      {escalation !== undefined && <p className="escalated">{escalation}</p>}
    </>
  );
}

const dutyStateWords: Readonly<Record<Alert['duties'][number]['state'], string>> = {
  waiting: 'not owed yet',
  open: 'open',
  overdue: 'overdue',
  fulfilled: 'done',
  lapsed: 'no longer owed',
};

function Duties({ alert, zone, now_ms }: OneProps) {
  if (alert.duties.length === 0) return null;
  return (
    <ul className="duties" aria-label={`Owed to ${alertName(alert)}`}>
      {alert.duties.map(({ duty, title, state, dueAt, fulfilled, source }) => (
        <li key={duty} className={state} title={source.text}>
          {title}:{' '}
          {state === 'open' || state === 'overdue' ? <Due at={dueAt} now_ms={now_ms} /> : dutyStateWords[state]}
          {fulfilled !== undefined && (
            <>
              {' '}
              by {fulfilled.by}, <Moment at={fulfilled.at} zone={zone} now={now_ms} />
              {fulfilled.late && ', late'}
            </>
          )}
        </li>
      ))}
    </ul>
  );
}

/** What this alert alone may be done to. */
function Handles({ alert, view, address }: Omit<Props, 'now_ms'> & { readonly alert: Alert }) {
  const { command, may, isBusy, failure } = useCommand(view);
  const name = alertName(alert);
  const mayShelve = may('shelve') && alert.shelvingLimit_s > 0 && alert.shelving === undefined && alert.active;
  return (
    <div className="handles">
      {alert.awaitsAnswer && may('acknowledge') && (
        <button
          type="button"
          className="small"
          disabled={isBusy}
          onClick={() => command({ command: 'acknowledge', alert: alert.id })}
        >
          Acknowledge<span className="only-heard"> {name}</span>
        </button>
      )}
      {mayShelve && (
        <Go to={withForm(address, { name: 'shelve', about: alert.id })} className="deed">
          Shelve<span className="only-heard"> {name}</span>, {speakDuration(alert.shelvingLimit_s * 1_000)} at most
        </Go>
      )}
      {alert.shelving !== undefined && may('unshelve') && (
        <button
          type="button"
          className="small"
          disabled={isBusy}
          onClick={() => command({ command: 'unshelve', alert: alert.id })}
        >
          Take off the shelf<span className="only-heard"> ({name})</span>
        </button>
      )}
      {failure !== null && <Failure of={failure} />}
    </div>
  );
}
