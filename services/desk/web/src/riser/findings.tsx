import type { Finding, RiserKey, RiserView } from '@tidemark/api';
import type { Address } from '../address.ts';
import { Go } from '../parts/go.tsx';
import { Moment } from '../parts/moment.tsx';
import { clockTime, dayAndTime } from '../time.ts';
import { severityWords, signalWords } from '../words/riser-words.ts';
import { inReadingOrder, isUnanswered } from './chosen-finding.ts';

type Opened = Extract<Address, { screen: 'watch' }> & { readonly key: RiserKey };

interface Props {
  readonly view: RiserView;
  readonly chosen: Finding | undefined;
  readonly address: Opened;
  readonly now_ms: number;
}

/** Every finding with its evidence; choosing one ties it together in the drawing above. */
export function Findings({ view, chosen, address, now_ms }: Props) {
  if (view.findings.length === 0) return null;
  return (
    <section className="findings">
      <h2>Findings, {view.findings.length}</h2>
      <ul>
        {inReadingOrder(view.findings).map((finding) => (
          <li
            key={finding.id}
            className={`${finding.severity} ${finding.status}${finding === chosen ? ' chosen' : ''}`}
          >
            <h3>
              <Go to={{ ...address, finding: finding.code }} current={finding === chosen ? 'true' : undefined}>
                {finding.code.replaceAll('-', ' ')}
              </Go>
            </h3>
            <p className="soft">
              {finding.status === 'cleared' ? 'cleared' : severityWords[finding.severity]}, raised{' '}
              <Moment at={finding.raisedAt} zone={view.site.timeZone} now={now_ms} />
              {finding.clearedAt !== undefined && (
                <>
                  , cleared <Moment at={finding.clearedAt} zone={view.site.timeZone} now={now_ms} />
                </>
              )}
              . {answered(finding, view, now_ms)}
            </p>
            <p>{finding.explanation}</p>
            <Evidence finding={finding} zone={view.site.timeZone} />
          </li>
        ))}
      </ul>
    </section>
  );
}

function Evidence({ finding, zone }: { readonly finding: Finding; readonly zone: string }) {
  return (
    <ul className="evidence" aria-label={`Evidence for ${finding.code.replaceAll('-', ' ')}`}>
      {finding.evidence.map((reference) => (
        <li key={reference.id}>
          {signalWords(reference.what)} <Moment at={reference.at} zone={zone} />
        </li>
      ))}
      {finding.window !== undefined && (
        <li className="soft">
          window {clockTime(finding.window.from, zone)} to {clockTime(finding.window.to, zone)}, panel’s clock
        </li>
      )}
    </ul>
  );
}

/** Who answered, as the finding's alert tells. */
function answered(finding: Finding, view: RiserView, now_ms: number): string {
  if (isUnanswered(finding)) return 'Nobody has acknowledged it.';
  if (finding.alertState !== 'acknowledged')
    return finding.alertState === 'normal' ? '' : `${signalWords(finding.alertState)}.`;
  const given = view.alerts.find((alert) => alert.finding === finding.id)?.acknowledged;
  if (given === undefined) return 'Acknowledged.';
  return `Acknowledged by ${given.by}, ${dayAndTime(given.at, view.site.timeZone, now_ms)}.`;
}
