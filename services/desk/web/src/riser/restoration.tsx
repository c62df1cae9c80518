import type { RestorationStep, RiserView } from '@tidemark/api';
import { useState } from 'react';
import { useMay } from '../access/use-who.ts';
import { Failure } from '../parts/failure.tsx';
import { Go } from '../parts/go.tsx';
import { dayAndTime, untilOrLate } from '../time.ts';
import { useCommand } from '../use-command.ts';
import { stepWords } from '../words/riser-words.ts';

interface Props {
  readonly view: RiserView;
  readonly now_ms: number;
  readonly isPast: boolean;
}

/** The way back to service: each step proven, contradicted, waiting, or not to be seen from here. */
export function Restoration({ view, now_ms, isPast }: Props) {
  const { restoration } = view;
  const proven = restoration.filter(({ status }) => status === 'proven').length;
  if (restoration.length === 0)
    return (
      <section className="restoration">
        <h2>Back to service</h2>
        <p className="soft">Nothing is to be restored.</p>
      </section>
    );
  return (
    <section className="restoration">
      <h2>
        Back to service, {proven} of {restoration.length} proven
      </h2>
      <ol>
        {restoration.map((step) => (
          <Step key={step.step} step={step} view={view} now_ms={now_ms} isPast={isPast} />
        ))}
      </ol>
      <p>
        <Go to={{ screen: 'crew', key: { account: view.account, riser: view.riser } }}>
          The list for the crew’s phone
        </Go>
      </p>
    </section>
  );
}

function Step({ step, view, now_ms, isPast }: Props & { readonly step: RestorationStep }) {
  const may = useMay(view.account);
  const mayConfirm = !isPast && may('confirm') && step.status === 'cannot-be-seen' && step.confirmedBy === undefined;
  return (
    <li className={step.status}>
      <StepMark status={step.status} />
      <div>
        <p className="step-title">
          {step.title}
          <span className="only-heard">: {stepWords[step.status]}</span>
        </p>
        <p className="soft">
          {step.status === 'contradicted' && 'Contradicted: '}
          {step.detail}
          {step.status === 'waiting' && step.by !== undefined && ` Due ${untilOrLate(step.by, now_ms)}.`}
        </p>
        {step.confirmedBy !== undefined && step.confirmedAt !== undefined && (
          <p className="soft">
            Confirmed by {step.confirmedBy}, {dayAndTime(step.confirmedAt, view.site.timeZone, now_ms)}
          </p>
        )}
        {step.caution !== undefined && <p className="caution">{step.caution}</p>}
        {mayConfirm && <Confirm step={step} view={view} />}
      </div>
    </li>
  );
}

/** Two strokes, in place: the second names what goes into the record. */
function Confirm({ step, view }: { readonly step: RestorationStep; readonly view: RiserView }) {
  const { command, isBusy, failure } = useCommand(view);
  const [asking, setAsking] = useState(false);
  if (!asking)
    return (
      <button
        type="button"
        className="small"
        onClick={() => setAsking(true)}
        aria-label={`Somebody saw it: ${step.title}`}
      >
        Somebody saw it
      </button>
    );
  return (
    <div className="confirm">
      <p>Record that somebody on site saw: {step.title.toLowerCase()}? It cannot be taken back.</p>
      {failure !== null && <Failure of={failure} />}
      <button
        type="button"
        className="small primary"
        disabled={isBusy}
        onClick={() => command({ command: 'confirm', step: step.step })}
      >
        {isBusy ? 'Recording' : 'Record it'}
      </button>
      <button type="button" className="small" onClick={() => setAsking(false)}>
        Leave it
      </button>
    </div>
  );
}

/** How a step stands, as a mark; words stand beside it. */
export function StepMark({ status }: { readonly status: RestorationStep['status'] }) {
  return (
    <svg viewBox="0 0 16 16" className={`step-mark ${status}`} aria-hidden="true">
      {status === 'proven' && <path d="M2.5 8.5 6.5 12.5 13.5 3.5" />}
      {status === 'contradicted' && <path d="M3 3 13 13 M13 3 3 13" />}
      {status === 'waiting' && <circle cx="8" cy="8" r="5.5" />}
      {status === 'cannot-be-seen' && <rect x="2.5" y="2.5" width="11" height="11" className="hatched" />}
    </svg>
  );
}
