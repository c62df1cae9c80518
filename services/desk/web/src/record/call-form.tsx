import type { RiserCommand } from '@tidemark/api';
import { useState } from 'react';
import { useCommand } from '../use-command.ts';
import { Choice, Line, RecordFormFrame, typedOrNothing } from './form-parts.tsx';
import type { FormProps } from './open-form.tsx';

type Call = Extract<RiserCommand, { command: 'call-recorded' }>;

const calleeWords: Readonly<Record<Call['to'], string>> = {
  'fire-service': 'Fire service',
  subscriber: 'Subscriber',
  'designated-person': 'Designated person',
  authority: 'Authority having jurisdiction',
};

const outcomeWords: Readonly<Record<Call['outcome'], string>> = {
  reached: 'Reached',
  'not-reached': 'Not reached',
};

const isCallee = (text: string | undefined): text is Call['to'] => text !== undefined && text in calleeWords;

/** A call that was made: to whom, and whether anybody answered. One that reached nobody fulfils nothing. */
export function CallForm({ view, onDone, to: asked }: FormProps & { readonly to: string | undefined }) {
  const giving = useCommand(view);
  const [to, setTo] = useState<Call['to']>(isCallee(asked) ? asked : 'fire-service');
  const [outcome, setOutcome] = useState<Call['outcome']>('reached');
  const [person, setPerson] = useState('');
  const [note, setNote] = useState('');
  const record = () => {
    giving.command(
      { command: 'call-recorded', to, outcome, ...typedOrNothing('person', person), ...typedOrNothing('note', note) },
      onDone,
    );
  };
  return (
    <RecordFormFrame title="A call" submit="Record the call" giving={giving} onSubmit={record} onLeave={onDone}>
      <p className="soft">
        This calls nobody: make the call, then record it. It counts for every alert of {view.riser} that waits for it.
      </p>
      <Choice label="To" value={to} words={calleeWords} onChoose={setTo} />
      <Choice label="Outcome" value={outcome} words={outcomeWords} onChoose={setOutcome} />
      <Line label="Person, if known" value={person} limit={80} onType={setPerson} />
      <Line label="Note, if any" value={note} limit={500} onType={setNote} />
    </RecordFormFrame>
  );
}
