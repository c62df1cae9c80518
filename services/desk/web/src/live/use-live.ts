import { createContext, useContext, useEffect, useState, useSyncExternalStore } from 'react';
import { invariant } from '@tidemark/kernel';
import type { LiveState, LiveStore } from './live-store.ts';

/** The one store of the page. */
export const LiveContext = createContext<LiveStore | undefined>(undefined);

/** The store itself, for what it can be told. */
export function useLiveStore(): LiveStore {
  const store = useContext(LiveContext);
  invariant(store !== undefined, 'the page is wrapped in its live store');
  return store;
}

/** What the page knows of the station. */
export function useLive(): LiveState {
  const store = useLiveStore();
  return useSyncExternalStore(store.subscribe, store.state);
}

/** The station's time, as a number of milliseconds, anew every second. */
export function useStationTime_ms(): number {
  const { stationAhead_ms } = useLive();
  const [now_ms, setNow] = useState(() => Date.now());
  useEffect(() => {
    const timer = setInterval(() => {
      setNow(Date.now());
    }, 1_000);
    return () => {
      clearInterval(timer);
    };
  }, []);
  // Within a second of truth; a jump of the offset by a few milliseconds must not make the clock stutter.
  return now_ms + Math.round(stationAhead_ms / 250) * 250;
}
