import { speakDuration } from '@tidemark/kernel';
import { useState } from 'react';
import { clockTime } from '../time.ts';
import { useCommand } from '../use-command.ts';
import { alertName } from '../words/alert-words.ts';
import { Line, RecordFormFrame } from './form-parts.tsx';
import type { FormProps } from './open-form.tsx';

/** Offered first, where the limit allows as much. A choice of this project. */
const usual_min = 60;

/** Sets one alert aside for a while, with a reason and no longer than its priority allows. */
export function ShelveForm({
  view,
  onDone,
  about,
  now_ms,
}: FormProps & { readonly about: string | undefined; readonly now_ms: number }) {
  const giving = useCommand(view);
  const alert = view.alerts.find(({ id }) => id === about);
  const limit_min = Math.floor((alert?.shelvingLimit_s ?? 0) / 60);
  const [minutes, setMinutes] = useState(Math.min(usual_min, limit_min));
  const [reason, setReason] = useState('');
  if (alert === undefined || limit_min === 0)
    return (
      <div className="declare" role="status">
        <p>This alert is not there any more, or may not be shelved.</p>
        <button type="button" onClick={onDone}>
          Leave it
        </button>
      </div>
    );
  const isTime = Number.isFinite(minutes) && minutes >= 1 && minutes <= limit_min;
  return (
    <RecordFormFrame
      title={`Shelve ${alertName(alert)}`}
      submit="Shelve it"
      giving={giving}
      isReady={isTime && reason.trim() !== ''}
      onSubmit={() =>
        giving.command({ command: 'shelve', alert: alert.id, forSeconds: minutes * 60, reason: reason.trim() }, onDone)
      }
      onLeave={onDone}
    >
      <p className="soft">
        Of {alert.priority} priority it may be shelved for {speakDuration(limit_min * 60_000)} at most. It comes back by
        itself{isTime && `, at ${clockTime(now_ms + minutes * 60_000, view.site.timeZone)} if recorded now`}.
      </p>
      <label className="field">
        Minutes
        <input
          type="number"
          min={1}
          max={limit_min}
          value={Number.isFinite(minutes) ? minutes : ''}
          onChange={(event) => setMinutes(event.target.valueAsNumber)}
        />
      </label>
      <Line label="Reason" value={reason} limit={500} isRequired onType={setReason} />
    </RecordFormFrame>
  );
}
