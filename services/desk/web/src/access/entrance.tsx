import { useQueryClient } from '@tanstack/react-query';
import { setPasswordPath } from '@tidemark/api';
import type { WhoAmI } from '@tidemark/api';
import { useEffect, useState, useSyncExternalStore } from 'react';
import type { ReactNode } from 'react';
import { LiveStore } from '../live/live-store.ts';
import { LiveContext } from '../live/use-live.ts';
import { DemoBanner } from './demo-banner.tsx';
import { LogIn } from './log-in.tsx';
import { SetPassword } from './set-password.tsx';
import { WhoContext } from './use-who.ts';
import type { WhoStore } from './who-store.ts';

/** Nobody passes without a session. The address stays as it is, so that whoever logs in stands where the link led. */
export function Entrance({ store, children }: { readonly store: WhoStore; readonly children: ReactNode }) {
  const now = useSyncExternalStore(store.subscribe, store.state);
  const [isSetting, setSetting] = useState(location.pathname === setPasswordPath);
  if (isSetting)
    return (
      <SetPassword
        onDone={() => {
          history.replaceState(null, '', '/');
          setSetting(false);
        }}
      />
    );
  switch (now.state) {
    case 'asking':
      return null;
    case 'unreachable':
      return <Unreachable store={store} />;
    case 'out':
      return <LogIn store={store} hasEnded={now.hasEnded} />;
    case 'in':
      return (
        <Inside who={now.who} store={store} key={now.who.name}>
          {children}
        </Inside>
      );
  }
}

/** Behind the entrance: the live picture begins with the session and ends with it, and so does what was fetched. */
function Inside({
  who,
  store,
  children,
}: {
  readonly who: WhoAmI;
  readonly store: WhoStore;
  readonly children: ReactNode;
}) {
  const cache = useQueryClient();
  const [live, setLive] = useState<LiveStore>();
  useEffect(() => {
    const opened = new LiveStore({
      onChange: (key) => {
        void cache.invalidateQueries({ queryKey: key === undefined ? ['riser'] : ['riser', key] });
        void cache.invalidateQueries({ queryKey: ['quarantine'] });
        // Everything anew may mean that the roles are others now.
        if (key === undefined) void store.refresh();
      },
      // A session that ended closes the stream, too.
      onSilence: () => void store.refresh(),
    });
    setLive(opened);
    return () => {
      opened.close();
      cache.clear();
    };
  }, [cache, store]);
  if (live === undefined) return null;
  return (
    <WhoContext value={{ who, store }}>
      <LiveContext value={live}>
        {who.site === 'demo' && <DemoBanner />}
        {children}
      </LiveContext>
    </WhoContext>
  );
}

function Unreachable({ store }: { readonly store: WhoStore }) {
  useEffect(() => {
    const timer = setInterval(() => void store.refresh(), 1_500);
    return () => {
      clearInterval(timer);
    };
  }, [store]);
  return (
    <main className="entrance">
      <h1>The station cannot be reached</h1>
      <p role="status">Trying again by itself.</p>
    </main>
  );
}
