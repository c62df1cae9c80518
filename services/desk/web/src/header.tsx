import type { Address } from './address.ts';
import { setAuthor, useAuthor } from './author.ts';
import { ConnectionState } from './live/connection-state.tsx';
import { useLive, useMachineTime_ms } from './live/use-live.ts';
import { Go } from './parts/go.tsx';
import { Keys } from './parts/keys.tsx';
import { clockTime, town, utc } from './time.ts';
import { authorFieldId } from './use-command.ts';

/** The name of the page, where one may go, the time, whether what is shown is true now, and who acts. */
export function Header({ address, zone }: { readonly address: Address; readonly zone: string }) {
  return (
    <header className="header">
      <Go to={{ screen: 'watch', key: undefined }} className="wordmark">
        Tidemark
      </Go>
      <nav aria-label="Screens">
        <Go to={{ screen: 'watch', key: undefined }} current={address.screen === 'watch' ? 'page' : undefined}>
          Watch
        </Go>
        <Go to={{ screen: 'quarantine' }} current={address.screen === 'quarantine' ? 'page' : undefined}>
          Quarantine
        </Go>
      </nav>
      <Clock zone={zone} />
      <ConnectionState />
      <Author />
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
      <span className="utc">{clockTime(now_ms, 'UTC')} UTC</span>
    </p>
  );
}

function Author() {
  const name = useAuthor();
  return (
    <p className="author">
      <label htmlFor={authorFieldId}>Acting as</label>
      <input
        id={authorFieldId}
        value={name}
        maxLength={80}
        autoComplete="name"
        placeholder="your name"
        aria-describedby="no-login"
        onChange={(event) => {
          setAuthor(event.target.value);
        }}
      />
      <span id="no-login">no login yet</span>
    </p>
  );
}
