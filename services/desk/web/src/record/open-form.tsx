import type { RiserView } from '@tidemark/api';
import type { RecordForm } from '../address.ts';
import { CallForm } from './call-form.tsx';
import { Declare } from './declare.tsx';
import { DispatchForm } from './dispatch-form.tsx';
import { NoteForm } from './note-form.tsx';
import { ShelveForm } from './shelve-form.tsx';

/** What every form of the record is given. */
export interface FormProps {
  readonly view: RiserView;
  /** Closes the form: it was recorded, or left. */
  readonly onDone: () => void;
}

/** The form that the address names, in place. */
export function OpenForm({
  form,
  now_ms,
  ...props
}: FormProps & { readonly form: RecordForm; readonly now_ms: number }) {
  switch (form.name) {
    case 'call':
      return <CallForm {...props} to={form.about} key={form.about} />;
    case 'dispatch':
      return <DispatchForm {...props} />;
    case 'note':
      return <NoteForm {...props} />;
    case 'declare':
      return <Declare {...props} />;
    case 'shelve':
      return <ShelveForm {...props} about={form.about} now_ms={now_ms} />;
  }
}
