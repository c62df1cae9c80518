import type { RiserKey, RiserView } from '@tidemark/api';
import { useWho } from '../access/use-who.ts';
import { Failure } from '../parts/failure.tsx';
import { Go } from '../parts/go.tsx';
import { chosenFinding } from '../riser/chosen-finding.ts';
import { Deeds } from '../riser/deeds.tsx';
import { useRiser } from '../riser/use-riser.ts';
import { clockTime, dayOf, utc } from '../time.ts';
import { Timeline } from '../timeline/timeline.tsx';
import { phaseWords, stepWords } from '../words/riser-words.ts';
import { EventTable } from './event-table.tsx';
import { ReportFindings } from './report-findings.tsx';

/** An incident as a document that prints: what happened, when, why we think so, who did what, and what is still open. */
export function ReportScreen({ riserKey, asOf }: { readonly riserKey: RiserKey; readonly asOf: string | undefined }) {
  const { data: view, error } = useRiser(riserKey, asOf);
  if (error !== null)
    return (
      <main className="records">
        <h1>{riserKey.riser}, report</h1>
        <Failure of={error} />
      </main>
    );
  return (
    <main className="records report">{view === undefined ? <h1>{riserKey.riser}</h1> : <Report view={view} />}</main>
  );
}

function Report({ view }: { readonly view: RiserView }) {
  const { who } = useWho();
  const { site, asOf, riser, account } = view;
  const now_ms = Date.parse(asOf);
  return (
    <>
      <div className="report-tools">
        <button type="button" className="primary" onClick={() => print()}>
          Print, or save as PDF
        </button>{' '}
        <Go to={{ screen: 'watch', key: { account, riser } }}>To the riser</Go>
      </div>
      {who.site === 'demo' && (
        <p className="caution">A demo: invented site, simulated signals. Nothing here is real.</p>
      )}
      <h1>
        {riser}, {site.name}: report of {dayOf(asOf, site.timeZone)}
      </h1>
      <p>
        As recorded by <time title={utc(asOf)}>{clockTime(asOf, site.timeZone)}</time> ({utc(asOf)}); times are those of
        the site, {site.timeZone}. Made for {who.name}.
      </p>
      <Summary view={view} />
      <Timeline view={view} finding={chosenFinding(view, undefined)} now_ms={now_ms} isPast />
      <ReportFindings view={view} />
      <OpenSteps view={view} />
      <Deeds view={view} now_ms={now_ms} />
      <EventTable view={view} />
    </>
  );
}

/** What happened in a few sentences, each from the record. */
function Summary({ view }: { readonly view: RiserView }) {
  const { episode, findings, restoration, actions, phase, headline } = view;
  const open = restoration.filter(({ status, confirmedBy }) => status !== 'proven' && confirmedBy === undefined).length;
  const standing = findings.filter(({ status }) => status !== 'cleared').length;
  return (
    <section aria-labelledby="summary">
      <h2 id="summary">What happened</h2>
      <p>
        {headline} The riser is {phaseWords[phase]}.{' '}
        {episode === undefined
          ? 'No episode is open.'
          : `The episode began at ${clockTime(episode.began, view.site.timeZone)} and holds ${episode.eventCount} events.`}{' '}
        {findings.length === 0
          ? 'Nothing contradictory was found.'
          : `${counted(findings.length, 'finding')} on record, of which ${standing} still stand.`}{' '}
        {open === 0 ? 'No step of the restoration is open.' : `${counted(open, 'step')} back to service still open.`}{' '}
        {actions.length === 0
          ? 'Nobody recorded an action.'
          : `${counted(actions.length, 'action')} recorded by people.`}
      </p>
    </section>
  );
}

const counted = (count: number, one: string): string => `${count} ${one}${count === 1 ? '' : 's'}`;

function OpenSteps({ view }: { readonly view: RiserView }) {
  if (view.restoration.length === 0) return null;
  return (
    <section aria-labelledby="steps">
      <h2 id="steps">Back to service</h2>
      <table>
        <thead>
          <tr>
            <th scope="col">Step</th>
            <th scope="col">How it stands</th>
            <th scope="col">Why, and caution</th>
          </tr>
        </thead>
        <tbody>
          {view.restoration.map(({ step, title, status, detail, confirmedBy, caution }) => (
            <tr key={step}>
              <th scope="row">{title}</th>
              <td>{confirmedBy === undefined ? stepWords[status] : `confirmed by ${confirmedBy}`}</td>
              <td>
                {detail}
                {caution !== undefined && <strong> {caution}</strong>}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
