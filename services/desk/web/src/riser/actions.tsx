import type { Finding, RiserView } from '@tidemark/api';
import { useState } from 'react';
import { Failure } from '../parts/failure.tsx';
import { useCommand } from '../use-command.ts';
import { isUnanswered } from './chosen-finding.ts';
import { Declare } from './declare.tsx';

interface Props {
  readonly view: RiserView;
  readonly finding: Finding | undefined;
  readonly isPast: boolean;
}

/** The one or two things to do from here, and the caution that belongs to them. */
export function Actions({ view, finding, isPast }: Props) {
  const { command, may, isBusy, isCut, failure } = useCommand(view);
  const [declaring, setDeclaring] = useState(false);
  if (isPast)
    return (
      <div className="actions">
        <p className="soft">Nothing can be done to the past.</p>
      </div>
    );
  const unanswered = finding !== undefined && isUnanswered(finding) ? finding : view.findings.find(isUnanswered);
  return (
    <div className="actions">
      <div className="buttons">
        {unanswered !== undefined && may('acknowledge') && (
          <button
            type="button"
            className="primary"
            data-key="a"
            disabled={isBusy}
            onClick={() => command({ command: 'acknowledge', finding: unanswered.code })}
          >
            {isBusy && !isCut ? 'Recording' : 'Acknowledge'}
          </button>
        )}
        {view.test?.origin === 'station' && may('test-end') && (
          <button type="button" disabled={isBusy} onClick={() => command({ command: 'test-end' })}>
            End the test
          </button>
        )}
        {view.impairment !== undefined && may('impairment-end') && (
          <button type="button" disabled={isBusy} onClick={() => command({ command: 'impairment-end' })}>
            End the impairment
          </button>
        )}
        {(may('test-begin') || may('impairment-begin')) && (
          <button type="button" aria-expanded={declaring} data-key="t" onClick={() => setDeclaring(!declaring)}>
            Declare
          </button>
        )}
      </div>
      {unanswered !== undefined && may('acknowledge') && (
        <p className="soft what-happens">
          Records that you have seen “{unanswered.code.replaceAll('-', ' ')}”. It mends nothing.
        </p>
      )}
      {isCut && <p className="needs-name">Nothing can be recorded while the connection is lost.</p>}
      {failure !== null && <Failure of={failure} />}
      {finding !== undefined && finding.caution !== '' && <p className="caution">{finding.caution}</p>}
      {declaring && <Declare view={view} onDone={() => setDeclaring(false)} />}
    </div>
  );
}
