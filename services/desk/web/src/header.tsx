import { useMayUse } from './access/use-who.ts';
import { WhoIsHere } from './access/who-is-here.tsx';
import type { Address } from './address.ts';
import { ConnectionState } from './live/connection-state.tsx';
import { useLive, useMachineTime_ms } from './live/use-live.ts';
import { Go } from './parts/go.tsx';
import { Keys } from './parts/keys.tsx';
import { clockTime, town, utc } from './time.ts';

/** The name of the page, where one may go, the time, whether what is shown is true now, and who acts. */
export function Header({ address, zone }: { readonly address: Address; readonly zone: string }) {
  const handsOver = useMayUse('handOver');
  const seesQuarantine = useMayUse('listQuarantine');
  const administers = useMayUse('listUsers');
  return (
    <header className="header">
      <Go to={{ screen: 'watch', key: undefined }} className="wordmark">
        Tidemark
      </Go>
      <nav aria-label="Screens">
        <Go to={{ screen: 'watch', key: undefined }} current={address.screen === 'watch' ? 'page' : undefined}>
          Watch
        </Go>
        {handsOver && (
          <Go to={{ screen: 'shift' }} current={address.screen === 'shift' ? 'page' : undefined}>
            Shift
          </Go>
        )}
        {seesQuarantine && (
          <Go to={{ screen: 'quarantine' }} current={address.screen === 'quarantine' ? 'page' : undefined}>
            Quarantine
          </Go>
        )}
        {administers && (
          <Go to={{ screen: 'people' }} current={address.screen === 'people' ? 'page' : undefined}>
            People
          </Go>
        )}
      </nav>
      <Clock zone={zone} />
      <ConnectionState />
      <WhoIsHere />
      <Keys address={address} />
    </header>
  );
}

function Clock({ zone }: { readonly zone: string }) {
  const { connection, stationAhead_ms } = useLive();
  const now_ms = useMachineTime_ms() + Math.round(stationAhead_ms / 250) * 250;
  if (connection === 'connecting') return null;
  return (
    <p className="clock" title={utc(now_ms)}>
      <strong>{clockTime(now_ms, zone)}</strong> {town(zone)}
      {zone !== 'UTC' && <span className="utc">{clockTime(now_ms, 'UTC')} UTC</span>}
    </p>
  );
}
