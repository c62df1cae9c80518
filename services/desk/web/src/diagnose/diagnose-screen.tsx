import type { Diagnosis, RiserView } from '@tidemark/api';
import type { Address } from '../address.ts';
import { useStationTime_ms } from '../live/use-live.ts';
import { Failure } from '../parts/failure.tsx';
import { Go } from '../parts/go.tsx';
import { useRiser } from '../riser/use-riser.ts';
import { dayAndTime } from '../time.ts';
import { phaseWords } from '../words/riser-words.ts';
import { Compared } from './compared.tsx';
import { Reasons } from './reasons.tsx';
import { TimeTravel } from './time-travel.tsx';
import { useDiagnosis } from './use-diagnosis.ts';

type DiagnoseAddress = Extract<Address, { screen: 'diagnose' }>;

/** Why we think so, at any moment of the record, and what would settle it. */
export function DiagnoseScreen({ address }: { readonly address: DiagnoseAddress }) {
  const { key, asOf, against } = address;
  const { data: diagnosis, error, isPlaceholderData } = useDiagnosis(key, asOf);
  const { data: view } = useRiser(key, asOf);
  return (
    <main className="records diagnose">
      <h1>{key.riser}: why we think so</h1>
      <p>
        <Go to={{ screen: 'watch', key, ...(asOf === undefined ? {} : { asOf }) }}>To the riser</Go>
      </p>
      {error !== null && <Failure of={error} />}
      {diagnosis !== undefined && (
        <TimeTravel diagnosis={diagnosis} address={address} zone={view?.site.timeZone ?? 'UTC'} />
      )}
      {isPlaceholderData && (
        <p className="soft" role="status">
          Reading that moment
        </p>
      )}
      {against !== undefined && <Compared address={{ ...address, against }} />}
      {diagnosis !== undefined && view !== undefined && !isPlaceholderData && (
        <Picture diagnosis={diagnosis} view={view} isPast={asOf !== undefined} />
      )}
    </main>
  );
}

interface PictureProps {
  readonly diagnosis: Diagnosis;
  readonly view: RiserView;
  readonly isPast: boolean;
}

/** The riser in a line, then each finding with its causes argued. */
function Picture({ diagnosis, view, isPast }: PictureProps) {
  const now_ms = useStationTime_ms();
  const gone = view.findings.filter(({ status }) => status === 'cleared');
  return (
    <>
      <p className="headline">
        {view.headline} <span className="soft">{phaseWords[view.phase]}</span>
      </p>
      {diagnosis.findings.length === 0 && <p>No finding stands {isPast ? 'at this moment' : 'now'}.</p>}
      {diagnosis.findings.map((each) => (
        <Reasons key={each.finding} reasoned={each} view={view} isPast={isPast} />
      ))}
      {gone.length > 0 && (
        <section aria-labelledby="gone">
          <h2 id="gone">Stood before</h2>
          <ul>
            {gone.map(({ id, code, raisedAt, clearedAt }) => (
              <li key={id}>
                {code.replaceAll('-', ' ')}, cleared{' '}
                {clearedAt === undefined ? '' : dayAndTime(clearedAt, view.site.timeZone, now_ms)}.{' '}
                <Go to={{ screen: 'diagnose', key: { account: view.account, riser: view.riser }, asOf: raisedAt }}>
                  As it was raised
                </Go>
              </li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}
