import type { RiserCommand } from '@tidemark/api';
import type { ReactNode } from 'react';
import { useState } from 'react';
import { useCommand } from '../use-command.ts';
import { Choice, Line, RecordFormFrame } from './form-parts.tsx';
import type { FormProps } from './open-form.tsx';

/** A longer test is a planned impairment; the contract has the same limit. */
const testLimit_min = 1_440;

/** Announces a test or declares an impairment, naming what that does. */
export function Declare({ view, onDone }: FormProps) {
  const giving = useCommand(view);
  const [isImpairment, setImpairment] = useState(false);
  const mayImpair = view.impairment === undefined && giving.may('impairment-begin');
  const choose = mayImpair ? (
    <Choice
      label="What"
      value={isImpairment ? 'impairment' : 'test'}
      words={{ test: 'Alarm test', impairment: 'Out of service' }}
      onChoose={(chosen) => setImpairment(chosen === 'impairment')}
    />
  ) : null;
  return isImpairment ? (
    <ImpairmentForm view={view} onDone={onDone} key="impairment">
      {choose}
    </ImpairmentForm>
  ) : (
    <TestForm view={view} onDone={onDone} key="test">
      {choose}
    </TestForm>
  );
}

type WithChoice = FormProps & { readonly children: ReactNode };

function TestForm({ view, onDone, children }: WithChoice) {
  const giving = useCommand(view);
  const [minutes, setMinutes] = useState(30);
  const isTime = Number.isFinite(minutes) && minutes >= 1 && minutes <= testLimit_min;
  return (
    <RecordFormFrame
      title="Put on test"
      submit="Begin the test"
      giving={giving}
      isReady={isTime}
      onSubmit={() =>
        giving.command({ command: 'test-begin', forSeconds: minutes * 60, expect: ['waterflow'] }, onDone)
      }
      onLeave={onDone}
    >
      {children}
      <label className="field">
        Minutes
        <input
          type="number"
          min={1}
          max={testLimit_min}
          value={Number.isFinite(minutes) ? minutes : ''}
          onChange={(event) => setMinutes(event.target.valueAsNumber)}
        />
      </label>
      <p className="caution">Water reported in this time is taken as the test’s, not as a fire.</p>
      <p className="soft">We expect the waterflow switch.</p>
    </RecordFormFrame>
  );
}

type Kind = Extract<RiserCommand, { command: 'impairment-begin' }>['kind'];

const kindWords: Readonly<Record<Kind, string>> = { planned: 'Planned', emergency: 'Emergency' };

function ImpairmentForm({ view, onDone, children }: WithChoice) {
  const giving = useCommand(view);
  const [kind, setKind] = useState<Kind>('planned');
  const [reason, setReason] = useState('');
  return (
    <RecordFormFrame
      title="Declare out of service"
      submit={`Declare ${kind === 'planned' ? 'a planned' : 'an emergency'} impairment`}
      giving={giving}
      isReady={reason.trim() !== ''}
      onSubmit={() => giving.command({ command: 'impairment-begin', kind, reason: reason.trim() }, onDone)}
      onLeave={onDone}
    >
      {children}
      <Choice label="Kind" value={kind} words={kindWords} onChoose={setKind} />
      <Line label="Reason" value={reason} limit={500} isRequired onType={setReason} />
      <p className="soft">
        Counts the riser as out of service until somebody ends it. The time adds up and has a limit.
      </p>
    </RecordFormFrame>
  );
}
