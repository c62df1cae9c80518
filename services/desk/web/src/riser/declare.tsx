import type { RiserView } from '@tidemark/api';
import { useState } from 'react';
import type { SyntheticEvent } from 'react';
import { Failure } from '../parts/failure.tsx';
import { useCommand } from '../use-command.ts';

/** Announces a test or an impairment, in place, naming what that does. */
export function Declare({ view, onDone }: { readonly view: RiserView; readonly onDone: () => void }) {
  const { command, may, isBusy, failure } = useCommand(view);
  const [minutes, setMinutes] = useState(30);
  const [reason, setReason] = useState('');
  const announce = (event: SyntheticEvent) => {
    event.preventDefault();
    command({ command: 'test-begin', forSeconds: minutes * 60, expect: ['waterflow'] });
    onDone();
  };
  const declare = (event: SyntheticEvent) => {
    event.preventDefault();
    command({ command: 'impairment-begin', kind: 'planned', reason });
    onDone();
  };
  return (
    <div className="declare">
      <form onSubmit={announce}>
        <label>
          Alarm test for
          <input
            type="number"
            min={1}
            max={1_440}
            value={minutes}
            onChange={(event) => setMinutes(event.target.valueAsNumber)}
          />
          minutes
        </label>
        <p className="soft">
          Water reported in this time is taken as the test’s, not as a fire. We expect the waterflow switch.
        </p>
        <button type="submit" disabled={isBusy || !Number.isFinite(minutes)}>
          Begin the test
        </button>
      </form>
      {view.impairment === undefined && may('impairment-begin') && (
        <form onSubmit={declare}>
          <label>
            Out of service, because
            <input value={reason} maxLength={500} required onChange={(event) => setReason(event.target.value)} />
          </label>
          <p className="soft">
            Counts the riser as out of service until somebody ends it. The time adds up and has a limit.
          </p>
          <button type="submit" disabled={isBusy || reason.trim() === ''}>
            Declare a planned impairment
          </button>
        </form>
      )}
      {failure !== null && <Failure of={failure} />}
    </div>
  );
}
