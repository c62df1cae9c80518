import type { RestorationStep, RiserKey, RiserView } from '@tidemark/api';
import { useEffect, useState } from 'react';
import { SessionBand } from '../access/who-is-here.tsx';
import { ConnectionBand, ConnectionState } from '../live/connection-state.tsx';
import { useLive, useStationTime_ms } from '../live/use-live.ts';
import { Due } from '../parts/due.tsx';
import { Failure } from '../parts/failure.tsx';
import { HatchDefinition } from '../parts/hatch.tsx';
import { chosenFinding } from '../riser/chosen-finding.ts';
import { StepMark } from '../riser/restoration.tsx';
import { useRiser } from '../riser/use-riser.ts';
import { clockTime } from '../time.ts';
import { useCommand } from '../use-command.ts';
import { signalWords, stepWords } from '../words/riser-words.ts';
import { awaitedStep, stepToDo } from './next-step.ts';

/** The way back to service for whoever stands at the riser: black on white, one thumb, nothing that is not needed. */
export function CrewPage({ riserKey }: { readonly riserKey: RiserKey }) {
  const { connection } = useLive();
  const { data: view, error } = useRiser(riserKey, undefined);
  useEffect(() => {
    document.title = `${riserKey.riser}, crew, Tidemark`;
  }, [riserKey.riser]);
  return (
    <div className={`page crew ${connection}`}>
      <HatchDefinition />
      <ConnectionBand />
      <SessionBand />
      <main>
        {error !== null && <Failure of={error} />}
        {view === undefined ? <h1>{riserKey.riser}</h1> : <AtTheRiser view={view} />}
      </main>
    </div>
  );
}

function AtTheRiser({ view }: { readonly view: RiserView }) {
  const now_ms = Math.max(useStationTime_ms(), Date.parse(view.asOf));
  const step = stepToDo(view.restoration);
  const finding = chosenFinding(view, undefined);
  return (
    <>
      <div className="crew-top">
        <p>
          <strong>{view.riser}</strong>, {view.site.name}
        </p>
        <p>{clockTime(now_ms, view.site.timeZone)}</p>
        <ConnectionState />
      </div>
      <h1>{step === undefined ? view.headline : `Next: ${step.title}`}</h1>
      {step !== undefined && <p className="crew-detail">{step.detail}</p>}
      {step?.caution !== undefined && <p className="caution">{step.caution}</p>}
      {finding !== undefined && finding.status !== 'cleared' && finding.caution !== '' && (
        <p className="caution">{finding.caution}</p>
      )}
      <Awaited view={view} now_ms={now_ms} />
      <ol className="crew-list">
        {view.restoration.map((each) => (
          <CrewStep key={each.step} step={each} view={view} isNext={each === step} />
        ))}
      </ol>
      {view.restoration.length === 0 && <p>Nothing is to be restored.</p>}
    </>
  );
}

/** What the station waits for, and by when. */
function Awaited({ view, now_ms }: { readonly view: RiserView; readonly now_ms: number }) {
  const step = awaitedStep(view.restoration);
  if (step?.expects === undefined) return null;
  const own = view.points.filter(({ signal }) => signal === step.expects);
  const name = own.length === 1 ? own[0]?.label : signalWords(step.expects).toLowerCase();
  return (
    <p className="crew-awaited">
      We wait for: {name}, for “{step.title.toLowerCase()}”. <strong>Nothing has arrived yet.</strong>{' '}
      {step.by !== undefined && (
        <>
          Due by {clockTime(step.by, view.site.timeZone)}, <Due at={step.by} now_ms={now_ms} />
        </>
      )}
    </p>
  );
}

interface StepProps {
  readonly step: RestorationStep;
  readonly view: RiserView;
  readonly isNext: boolean;
}

function CrewStep({ step, view, isNext }: StepProps) {
  const { may } = useCommand(view);
  const isToConfirm = step.status === 'cannot-be-seen' && step.confirmedBy === undefined;
  return (
    <li className={step.status} aria-current={isNext ? 'step' : undefined}>
      <StepMark status={step.confirmedBy === undefined ? step.status : 'proven'} />
      <div>
        <p className="step-title">{step.title}</p>
        <p>
          {step.confirmedBy === undefined ? stepWords[step.status] : `confirmed by ${step.confirmedBy}`}
          {step.confirmedAt !== undefined && `, ${clockTime(step.confirmedAt, view.site.timeZone)}`}
          {step.status !== 'proven' && !isNext && step.confirmedBy === undefined && `: ${step.detail}`}
        </p>
        {!isNext && step.caution !== undefined && <p className="caution">{step.caution}</p>}
        {isToConfirm && may('confirm') && <ConfirmHere step={step} view={view} />}
      </div>
    </li>
  );
}

/** One press, and a second to be sure; the second names what goes into the record. */
function ConfirmHere({ step, view }: Omit<StepProps, 'isNext'>) {
  const { command, isBusy, isCut, failure } = useCommand(view);
  const [isAsking, setAsking] = useState(false);
  const what = step.title.toLowerCase();
  if (!isAsking)
    return (
      <button type="button" onClick={() => setAsking(true)}>
        I saw it: {what}
      </button>
    );
  return (
    <div role="group" aria-label={`Confirm: ${what}`}>
      <button
        type="button"
        className="primary"
        disabled={isBusy}
        onClick={() => command({ command: 'confirm', step: step.step })}
      >
        {isBusy && !isCut ? 'Recording' : `Yes, record it: ${what}`}
      </button>
      <button type="button" onClick={() => setAsking(false)}>
        No, not yet
      </button>
      {isCut && <p>Nothing can be recorded while the connection is lost.</p>}
      {failure !== null && <Failure of={failure} />}
    </div>
  );
}
