import type { Address } from '../address.ts';
import { useStationTime_ms } from '../live/use-live.ts';
import { Failure } from '../parts/failure.tsx';
import { useRiser } from '../riser/use-riser.ts';
import { dayAndTime } from '../time.ts';
import { differencesOf } from './differences.ts';

type Comparing = Extract<Address, { screen: 'diagnose' }> & { readonly against: string };

/** What differs between two moments of the record, the earlier one first. */
export function Compared({ address: { key, asOf, against } }: { readonly address: Comparing }) {
  const now_ms = useStationTime_ms();
  const here = useRiser(key, asOf);
  const there = useRiser(key, against === 'now' ? undefined : against);
  const error = here.error ?? there.error;
  if (error !== null) return <Failure of={error} />;
  if (here.data === undefined || there.data === undefined) return null;
  const [first, second] = [here.data, there.data].toSorted((one, other) => one.asOf.localeCompare(other.asOf));
  if (first === undefined || second === undefined) return null;
  const differences = differencesOf(first, second);
  const at = ({ asOf: moment }: typeof first) => dayAndTime(moment, first.site.timeZone, now_ms);
  return (
    <section className="compared" aria-label="Two moments compared">
      <h2>What differs, {differences.length}</h2>
      {differences.length === 0 ? (
        <p>Nothing.</p>
      ) : (
        <div className="scroll" tabIndex={0} role="region" aria-label="What differs">
          <table>
            <thead>
              <tr>
                <th scope="col">What</th>
                <th scope="col">{at(first)}</th>
                <th scope="col">{at(second)}</th>
              </tr>
            </thead>
            <tbody>
              {differences.map(({ what, first: one, second: other }) => (
                <tr key={what}>
                  <th scope="row">{what}</th>
                  <td>{one}</td>
                  <td>{other}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}
