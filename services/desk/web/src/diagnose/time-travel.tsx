import type { Diagnosis } from '@tidemark/api';
import type { Address } from '../address.ts';
import { goTo } from '../address.ts';
import { useStationTime_ms } from '../live/use-live.ts';
import { dayAndTime, utc } from '../time.ts';

type DiagnoseAddress = Extract<Address, { screen: 'diagnose' }>;

interface Props {
  readonly diagnosis: Diagnosis;
  readonly address: DiagnoseAddress;
  readonly zone: string;
}

/**
 * A slider over the whole record. Its places are the moments at which something was received, since between two of
 * them nothing but time passed; its last place is now.
 */
export function TimeTravel({ diagnosis: { record }, address, zone }: Props) {
  const now_ms = useStationTime_ms();
  const { moments, before, after, events } = record;
  const { asOf, key } = address;
  const place =
    asOf === undefined
      ? moments.length
      : Math.max(
          0,
          moments.findLastIndex((each) => each <= asOf),
        );
  const said = asOf === undefined ? 'now' : dayAndTime(asOf, zone, now_ms);
  const move = (to: string | undefined) => {
    goTo(moment(address, to), 'replace');
  };
  return (
    <section className={`time-travel${asOf === undefined ? '' : ' past'}`} aria-label="The moment shown">
      <p>
        <strong>{asOf === undefined ? 'Now' : 'Not now:'}</strong>{' '}
        {asOf !== undefined && (
          <>
            as it was at <time title={utc(asOf)}>{said}</time>
          </>
        )}
      </p>
      <input
        type="range"
        aria-label={`Moment in the record of ${events} receipts`}
        aria-valuetext={said}
        min={0}
        max={moments.length}
        value={place}
        onChange={(event) => move(moments[event.target.valueAsNumber])}
      />
      <div className="buttons">
        <button type="button" disabled={before === undefined} onClick={() => move(before)}>
          One event back
        </button>
        <button type="button" disabled={asOf === undefined} onClick={() => move(after)}>
          One event on
        </button>
        <button type="button" disabled={asOf === undefined} onClick={() => move(undefined)}>
          Now
        </button>
        {asOf !== undefined && address.against === undefined && (
          <button type="button" onClick={() => goTo({ screen: 'diagnose', key, asOf, against: 'now' })}>
            Compare with now
          </button>
        )}
        {asOf !== undefined && address.against !== asOf && (
          <button type="button" onClick={() => goTo({ screen: 'diagnose', key, asOf, against: asOf })}>
            Hold this moment and compare others with it
          </button>
        )}
        {address.against !== undefined && (
          <button type="button" onClick={() => goTo(moment({ screen: 'diagnose', key }, asOf))}>
            End the comparison
          </button>
        )}
      </div>
    </section>
  );
}

/** The same address at another moment. */
const moment = ({ screen, key, against }: DiagnoseAddress, asOf: string | undefined): DiagnoseAddress => ({
  screen,
  key,
  ...(asOf === undefined ? {} : { asOf }),
  ...(against === undefined ? {} : { against }),
});
