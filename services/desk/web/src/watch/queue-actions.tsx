import type { RiserSummary } from '@tidemark/api';
import { Due } from '../parts/due.tsx';
import { Failure } from '../parts/failure.tsx';
import { Go } from '../parts/go.tsx';
import { useCommand } from '../use-command.ts';
import { formOf, formWords, named_alerts, unansweredWords } from '../words/alert-words.ts';

interface Props {
  readonly riser: RiserSummary;
  readonly now_ms: number;
}

/** What is owed next with the time left, and the one or two things that can be done without opening the riser. */
export function QueueActions({ riser, now_ms }: Props) {
  const { commands, may, isBusy, isCut, failure } = useCommand(riser);
  const { unanswered, nextDuty, level } = riser.openAlerts;
  const form = nextDuty === undefined ? undefined : formOf[nextDuty.duty];
  const mayRecord = form !== undefined && may(form.name === 'call' ? 'call-recorded' : 'dispatch-recorded');
  return (
    <>
      {nextDuty !== undefined && (
        <p className="next-duty">
          <span>{nextDuty.title}</span> <Due at={nextDuty.dueAt} now_ms={now_ms} />
          {level > 0 && <span className="escalated">escalated, step {level}</span>}
        </p>
      )}
      {unanswered.length > 0 && <p className="soft">Not acknowledged: {unansweredWords(unanswered)}</p>}
      <div className="item-actions">
        {unanswered.length > 0 && unanswered.length <= named_alerts && may('acknowledge') && (
          <button
            type="button"
            className="small"
            disabled={isBusy}
            onClick={() => commands(unanswered.map(({ alert }) => ({ command: 'acknowledge', alert })))}
          >
            {isBusy && !isCut
              ? 'Recording'
              : unanswered.length === 1
                ? 'Acknowledge'
                : `Acknowledge ${unanswered.length}`}
            <span className="only-heard"> on {riser.riser}</span>
          </button>
        )}
        {mayRecord && (
          <Go to={{ screen: 'watch', key: { account: riser.account, riser: riser.riser }, form }} className="deed">
            {formWords[form.name]}
            <span className="only-heard"> for {riser.riser}</span>
          </Go>
        )}
      </div>
      {failure !== null && <Failure of={failure} />}
    </>
  );
}
