import type { RiserView } from '@tidemark/api';
import { inReadingOrder } from '../riser/chosen-finding.ts';
import { clockTime } from '../time.ts';
import { causeWords } from '../words/cause-words.ts';
import { severityWords, signalWords } from '../words/riser-words.ts';

/** Every finding with its evidence, its likeliest causes, its caution, and who answered. */
export function ReportFindings({ view }: { readonly view: RiserView }) {
  const zone = view.site.timeZone;
  return (
    <section aria-labelledby="found">
      <h2 id="found">Findings, {view.findings.length}</h2>
      {inReadingOrder(view.findings).map((finding) => {
        const answered = view.alerts.find((alert) => alert.finding === finding.id)?.acknowledged;
        return (
          <div key={finding.id} className="reported-finding">
            <h3>
              {finding.code.replaceAll('-', ' ')}, {severityWords[finding.severity]}, raised{' '}
              {clockTime(finding.raisedAt, zone)}
              {finding.clearedAt !== undefined && `, cleared ${clockTime(finding.clearedAt, zone)}`}
            </h3>
            <p>{finding.explanation}</p>
            <p>
              Evidence:{' '}
              {finding.evidence.map(({ what, at }) => `${signalWords(what)} ${clockTime(at, zone)}`).join('; ')}.{' '}
              {answered === undefined
                ? 'No acknowledgement is on record.'
                : `Acknowledged by ${answered.by}, ${clockTime(answered.at, zone)}.`}
            </p>
            <p>
              Could be:{' '}
              {finding.causes
                .map(
                  ({ causes, probability }) =>
                    `${causes.map((each) => causeWords[each]).join(' or ')} (${probability.toFixed(2)})`,
                )
                .join('; ')}
              . The rest to 1 is something else.
            </p>
            {finding.caution !== '' && <p className="caution">{finding.caution}</p>}
          </div>
        );
      })}
    </section>
  );
}
