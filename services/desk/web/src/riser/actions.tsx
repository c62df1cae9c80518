import type { Finding, RiserKey, RiserView } from '@tidemark/api';
import type { Address, RecordForm } from '../address.ts';
import { goTo } from '../address.ts';
import { Failure } from '../parts/failure.tsx';
import { OpenForm } from '../record/open-form.tsx';
import { useCommand } from '../use-command.ts';
import { alertName, formOf, formWords } from '../words/alert-words.ts';
import { dutiesOf } from './duties.ts';

type Opened = Extract<Address, { screen: 'watch' }> & { readonly key: RiserKey };

interface Props {
  readonly view: RiserView;
  readonly finding: Finding | undefined;
  readonly address: Opened;
  readonly now_ms: number;
}

/** What can be done and recorded from here, and the caution that belongs to it. */
export function Actions({ view, finding, address, now_ms }: Props) {
  const { commands, may, isBusy, isCut, failure } = useCommand(view);
  if (address.asOf !== undefined)
    return (
      <div className="actions">
        <p className="soft">Nothing can be done to the past.</p>
      </div>
    );
  const unanswered = may('acknowledge') ? view.alerts.filter(({ awaitsAnswer }) => awaitsAnswer) : [];
  return (
    <div className="actions">
      <div className="buttons">
        {unanswered.length > 0 && (
          <button
            type="button"
            className="primary"
            data-key="a"
            disabled={isBusy}
            onClick={() => commands(unanswered.map(({ id }) => ({ command: 'acknowledge', alert: id })))}
          >
            {isBusy && !isCut ? 'Recording' : acknowledgeWords(unanswered.length)}
          </button>
        )}
        <FormButtons view={view} address={address} isAnswered={unanswered.length === 0} />
        <EndButtons view={view} />
      </div>
      {unanswered.length > 0 && (
        <p className="soft what-happens">
          Acknowledging records that you have seen: {unanswered.map(alertName).join('; ')}. It mends nothing.
        </p>
      )}
      {isCut && <p className="needs-name">Nothing can be recorded while the connection is lost.</p>}
      {failure !== null && <Failure of={failure} />}
      {finding !== undefined && finding.caution !== '' && <p className="caution">{finding.caution}</p>}
      {address.form !== undefined && (
        <OpenForm view={view} form={address.form} now_ms={now_ms} onDone={() => goTo(withForm(address, undefined))} />
      )}
    </div>
  );
}

const acknowledgeWords = (count: number): string => (count === 1 ? 'Acknowledge' : `Acknowledge all ${count}`);

/** The address with a form open, or with none. */
export const withForm = ({ screen, key, finding, asOf }: Opened, form: RecordForm | undefined): Opened => ({
  screen,
  key,
  ...(finding === undefined ? {} : { finding }),
  ...(asOf === undefined ? {} : { asOf }),
  ...(form === undefined ? {} : { form }),
});

const buttons = [
  { name: 'call', command: 'call-recorded', key: 'c' },
  { name: 'dispatch', command: 'dispatch-recorded', key: 'd' },
  { name: 'note', command: 'note', key: 'n' },
  { name: 'declare', command: 'test-begin', key: 't' },
] as const;

interface FormButtonsProps {
  readonly view: RiserView;
  readonly address: Opened;
  readonly isAnswered: boolean;
}

/** Once everything is answered, what is owed next stands first in weight. */
function FormButtons({ view, address, isAnswered }: FormButtonsProps) {
  const { may } = useCommand(view);
  const next = dutiesOf(view.alerts).find(({ duty }) => duty !== 'acknowledge');
  const nextForm = next === undefined ? undefined : formOf[next.duty];
  return buttons
    .filter(({ command }) => may(command))
    .map(({ name, key }) => {
      const isOpen = address.form?.name === name;
      const form = nextForm?.name === name ? nextForm : { name };
      return (
        <button
          key={name}
          type="button"
          data-key={key}
          aria-expanded={isOpen}
          className={isAnswered && nextForm?.name === name ? 'primary' : undefined}
          onClick={() => goTo(withForm(address, isOpen ? undefined : form), 'replace')}
        >
          {formWords[name]}
        </button>
      );
    });
}

/** What was begun from a desk is ended from one. */
function EndButtons({ view }: { readonly view: RiserView }) {
  const { command, may, isBusy } = useCommand(view);
  return (
    <>
      {view.test?.origin === 'station' && may('test-end') && (
        <button type="button" disabled={isBusy} onClick={() => command({ command: 'test-end' })}>
          End the test
        </button>
      )}
      {view.impairment !== undefined && may('impairment-end') && (
        <button type="button" disabled={isBusy} onClick={() => command({ command: 'impairment-end' })}>
          End the impairment
        </button>
      )}
    </>
  );
}
