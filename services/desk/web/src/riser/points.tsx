import type { PointState, RiserView } from '@tidemark/api';
import { speakDuration } from '@tidemark/kernel';
import { Moment } from '../parts/moment.tsx';
import { inChosenUnits, useUnits } from '../units.ts';
import { pointWords, signalWords } from '../words/riser-words.ts';

/** What the panel reports, with its clock and ours; what is no longer fresh is hatched and says how old it is. */
export function Points({ view, now_ms }: { readonly view: RiserView; readonly now_ms: number }) {
  const units = useUnits();
  return (
    <section className="points">
      <h2>Reported</h2>
      <table>
        <thead>
          <tr>
            <th scope="col">Point</th>
            <th scope="col">State</th>
            <th scope="col">Since, panel’s clock</th>
            <th scope="col">Heard, our clock</th>
          </tr>
        </thead>
        <tbody>
          {view.points.map((point) => (
            <Point key={`${point.point ?? ''} ${point.signal}`} point={point} view={view} now_ms={now_ms} />
          ))}
          {view.readings.map((reading) => (
            <tr key={`${reading.name} ${reading.point ?? ''}`}>
              <th scope="row">{signalWords(reading.name)}</th>
              <td className="figure">{inChosenUnits(reading.value, reading.unit, units)}</td>
              <td>
                <Moment at={reading.at} zone={view.site.timeZone} now={now_ms} />
              </td>
              <td />
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

interface PointProps {
  readonly point: PointState;
  readonly view: RiserView;
  readonly now_ms: number;
}

function Point({ point, view, now_ms }: PointProps) {
  const zone = view.site.timeZone;
  const heard = point.heardReceivedAt;
  return (
    <tr className={`${point.state}${point.fresh ? '' : ' stale'}`}>
      <th scope="row">
        {point.point !== undefined && <span className="number">{point.point}</span>} {point.label}
      </th>
      <td>
        <span className={`state ${point.state}`}>
          {(!point.fresh || point.state === 'not-known') && <i className="swatch" />}
          {pointWords[point.state]}
        </span>
      </td>
      <td>{point.since === undefined ? '' : <Moment at={point.since} zone={zone} now={now_ms} />}</td>
      <td>
        {heard === undefined ? 'never' : <Moment at={heard} zone={zone} now={now_ms} />}
        {!point.fresh && heard !== undefined && (
          <span className="age">, {speakDuration(now_ms - Date.parse(heard))} ago, not fresh</span>
        )}
      </td>
    </tr>
  );
}
