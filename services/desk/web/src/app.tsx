import { useEffect } from 'react';
import type { Address } from './address.ts';
import { keyText, useAddress } from './address.ts';
import { MeScreen } from './access/me-screen.tsx';
import { PeopleScreen } from './access/people-screen.tsx';
import { SessionBand } from './access/who-is-here.tsx';
import { Header } from './header.tsx';
import { ConnectionBand } from './live/connection-state.tsx';
import { useLive } from './live/use-live.ts';
import { HatchDefinition } from './parts/hatch.tsx';
import { CrewPage } from './crew/crew-page.tsx';
import { DiagnoseScreen } from './diagnose/diagnose-screen.tsx';
import { EventsScreen } from './records/events-screen.tsx';
import { QuarantineScreen } from './records/quarantine-screen.tsx';
import { ReportScreen } from './report/report-screen.tsx';
import { ShiftScreen } from './shift/shift-screen.tsx';
import { WatchScreen } from './watch/watch-screen.tsx';

/** The whole page. While the connection is lost everything live is marked as old, at one place for all. */
export function App() {
  const address = useAddress();
  const { connection, risers } = useLive();
  const zone = zoneOf(address, risers);
  useEffect(() => {
    document.title = titleOf(address, risers.filter(({ urgency }) => urgency === 'now').length);
  });
  if (address.screen === 'crew') return <CrewPage riserKey={address.key} key={keyText(address.key)} />;
  return (
    <div className={`page ${connection}`}>
      <a href="#content" className="skip">
        To the content
      </a>
      <HatchDefinition />
      <Header address={address} zone={zone} />
      <ConnectionBand />
      <SessionBand />
      <div id="content" className="content">
        <Screen address={address} zone={zone} />
      </div>
    </div>
  );
}

function Screen({ address, zone }: { readonly address: Exclude<Address, { screen: 'crew' }>; readonly zone: string }) {
  switch (address.screen) {
    case 'watch':
      return <WatchScreen address={address} />;
    case 'events':
      return <EventsScreen riserKey={address.key} zone={zone} />;
    case 'quarantine':
      return <QuarantineScreen zone={zone} />;
    case 'report':
      return <ReportScreen riserKey={address.key} asOf={address.asOf} />;
    case 'diagnose':
      return <DiagnoseScreen address={address} key={keyText(address.key)} />;
    case 'shift':
      return <ShiftScreen account={address.account} />;
    case 'people':
      return <PeopleScreen zone={zone} />;
    case 'me':
      return <MeScreen />;
  }
}

/** The zone of the riser that is looked at; else that of all sites where they share one; else this machine's. */
function zoneOf(address: Address, risers: ReturnType<typeof useLive>['risers']): string {
  const key = 'key' in address ? address.key : undefined;
  const opened = key === undefined ? undefined : risers.find((riser) => keyText(riser) === keyText(key));
  if (opened !== undefined) return opened.site.timeZone;
  const zones = new Set(risers.map(({ site }) => site.timeZone));
  const [only] = zones;
  return zones.size === 1 && only !== undefined ? only : Intl.DateTimeFormat().resolvedOptions().timeZone;
}

const screenNames = { quarantine: 'Quarantine', shift: 'Shift', people: 'People', me: 'Your account' } as const;

function titleOf(address: Address, urgent: number): string {
  const name = 'key' in address ? (address.key?.riser ?? 'Watch') : screenNames[address.screen];
  return `${urgent > 0 ? `(${urgent} now) ` : ''}${name}, Tidemark`;
}
