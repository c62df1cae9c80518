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

/**
 * The station's time for everything that is shown as its state, anew every second. While the connection is lost it
 * stands at what was last heard: nothing may look as if it went on.
 */
export function useStationTime_ms(): number {
  const { connection, heardAt_ms, stationAhead_ms } = useLive();
  const running_ms = useMachineTime_ms();
  const here_ms = connection === 'lost' ? (heardAt_ms ?? running_ms) : running_ms;
  // Within a second of truth; a jump of the offset by a few milliseconds must not make the clock stutter.
  return here_ms + Math.round(stationAhead_ms / 250) * 250;
}

/** This machine's time, anew every second. */
export function useMachineTime_ms(): number {
  const [now_ms, setNow] = useState(() => Date.now());
  useEffect(() => {
    const timer = setInterval(() => {
      setNow(Date.now());
    }, 1_000);
    return () => {
      clearInterval(timer);
    };
  }, []);
  return now_ms;
}
