import type { RiserCommand } from '@tidemark/api';
import { useState } from 'react';
import { useCommand } from '../use-command.ts';
import { Choice, Line, RecordFormFrame, typedOrNothing } from './form-parts.tsx';
import type { FormProps } from './open-form.tsx';

type Dispatch = Extract<RiserCommand, { command: 'dispatch-recorded' }>;

const unitWords: Readonly<Record<Dispatch['unit'], string>> = {
  runner: 'Runner of the station',
  'fire-service': 'Fire service',
};

const stageWords: Readonly<Record<Dispatch['stage'], string>> = {
  sent: 'Sent',
  arrived: 'On site',
  recalled: 'Called back',
};

/** Somebody was sent, has arrived, or was called back. Only an arrival has somebody on site. */
export function DispatchForm({ view, onDone }: FormProps) {
  const giving = useCommand(view);
  const [unit, setUnit] = useState<Dispatch['unit']>('runner');
  const [stage, setStage] = useState<Dispatch['stage']>('sent');
  const [reference, setReference] = useState('');
  const [note, setNote] = useState('');
  const record = () => {
    const more = { ...typedOrNothing('reference', reference), ...typedOrNothing('note', note) };
    giving.command({ command: 'dispatch-recorded', unit, stage, ...more }, onDone);
  };
  return (
    <RecordFormFrame title="A dispatch" submit="Record the dispatch" giving={giving} onSubmit={record} onLeave={onDone}>
      <p className="soft">This sends nobody: it records who was sent. A runner counts as on site once recorded so.</p>
      <Choice label="Who" value={unit} words={unitWords} onChoose={setUnit} />
      <Choice label="How far" value={stage} words={stageWords} onChoose={setStage} />
      <Line label="Reference, if any" value={reference} limit={80} onType={setReference} />
      <Line label="Note, if any" value={note} limit={500} onType={setNote} />
    </RecordFormFrame>
  );
}
