import type { Alert, RiserKey, RiserView } from '@tidemark/api';
import type { Address } from '../address.ts';
import { Due } from '../parts/due.tsx';
import { Go } from '../parts/go.tsx';
import { Moment } from '../parts/moment.tsx';
import { useCommand } from '../use-command.ts';
import { alertName, escalationWords, formOf, formWords } from '../words/alert-words.ts';
import { withForm } from './actions.tsx';
import type { JointDuty } from './duties.ts';
import { dutiesOf } from './duties.ts';

type Opened = Extract<Address, { screen: 'watch' }> & { readonly key: RiserKey };

interface Props {
  readonly view: RiserView;
  readonly address: Opened;
  readonly now_ms: number;
}

/** What people owe this riser's alerts, the next due first, each with the time left and the way to record it. */
export function Owed({ view, address, now_ms }: Props) {
  const owed = dutiesOf(view.alerts);
  if (owed.length === 0) return null;
  const late = owed.filter(({ dueAt }) => Date.parse(dueAt) < now_ms).length;
  return (
    <section className="owed">
      <h2>
        Owed, {owed.length}
        {late > 0 && `, ${late} late`}
      </h2>
      <Escalated alerts={view.alerts} />
      <ol>
        {owed.map((each) => (
          <Duty key={each.duty} owed={each} view={view} address={address} now_ms={now_ms} />
        ))}
      </ol>
    </section>
  );
}

/** The furthest escalation, in words and as a block of its own. */
function Escalated({ alerts }: { readonly alerts: readonly Alert[] }) {
  const furthest = alerts.toSorted((one, other) => other.level - one.level)[0];
  const words = furthest && escalationWords(furthest);
  if (words === undefined) return null;
  return (
    <p className="escalated">
      <strong>{words.charAt(0).toUpperCase() + words.slice(1)}.</strong> Nobody did in time what was owed.
    </p>
  );
}

function Duty({ owed, view, address, now_ms }: Props & { readonly owed: JointDuty }) {
  const { may } = useCommand(view);
  const form = formOf[owed.duty];
  const command = form?.name === 'call' ? 'call-recorded' : 'dispatch-recorded';
  return (
    <li>
      <p className="step-title">{owed.title}</p>
      <p>
        <Due at={owed.dueAt} now_ms={now_ms} />{' '}
        <span className="soft">
          by <Moment at={owed.dueAt} zone={view.site.timeZone} now={now_ms} />
        </span>
      </p>
      <p className="soft" title={owed.source.text}>
        {owed.alerts.length === 1 ? owed.alerts.map(alertName).join() : `for ${owed.alerts.length} alerts`}
      </p>
      {form !== undefined && address.asOf === undefined && may(command) && (
        <Go to={withForm(address, form)} className="deed">
          {formWords[form.name]}
          <span className="only-heard"> ({owed.title})</span>
        </Go>
      )}
    </li>
  );
}
