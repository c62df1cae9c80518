import { useState } from 'react';
import { useCommand } from '../use-command.ts';
import { Line, RecordFormFrame } from './form-parts.tsx';
import type { FormProps } from './open-form.tsx';

/** A line for whoever reads the record later. */
export function NoteForm({ view, onDone }: FormProps) {
  const giving = useCommand(view);
  const [text, setText] = useState('');
  return (
    <RecordFormFrame
      title="A note"
      submit="Record the note"
      giving={giving}
      isReady={text.trim() !== ''}
      onSubmit={() => giving.command({ command: 'note', text: text.trim() }, onDone)}
      onLeave={onDone}
    >
      <Line label="Note" value={text} limit={2_000} isRequired onType={setText} />
    </RecordFormFrame>
  );
}
