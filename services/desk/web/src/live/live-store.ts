import type { Following, LiveEvent, LiveEventName, RiserSummary } from '@tidemark/api';
import { byUrgency, liveEvents, lostAfter_ms, pathTo, routes } from '@tidemark/api';
import { keyText } from '../address.ts';

/** What the page knows of the station, and since when it does not. */
export interface LiveState {
  readonly connection: 'connecting' | 'live' | 'lost';
  /** This machine's clock when the connection was last known good. */
  readonly heardAt_ms: number | undefined;
  /** The station's clock minus this machine's. */
  readonly stationAhead_ms: number;
  readonly following: Following;
  readonly risers: readonly RiserSummary[];
  /** What was missed at the last cut, until it is dismissed. */
  readonly back: { readonly lost_ms: number; readonly changes: number | 'unknown' } | undefined;
}

const initialState: LiveState = {
  connection: 'connecting',
  heardAt_ms: undefined,
  stationAhead_ms: 0,
  following: 'catching-up',
  risers: [],
  back: undefined,
};

/** How often the silence is measured. */
const watch_ms = 150;

/** A new attempt is made this long after the last, while the connection is lost. */
const retry_ms = 1_500;

/** Who is told what. */
export interface LiveListener {
  /** A riser changed, or all of them (undefined). */
  readonly onChange: (key: string | undefined) => void;
  /** Nothing is heard, and another attempt is made: the session may be the reason. */
  readonly onSilence: () => void;
}

/** Listens to the station. A cut is noticed by silence, not only by what the browser reports. */
export class LiveStore {
  #state = initialState;
  #source: EventSource | undefined;
  #openedAt_ms = 0;
  #lostSince_ms: number | undefined;
  readonly #told = new Set<() => void>();
  readonly #listener: LiveListener;
  readonly #watching: ReturnType<typeof setInterval>;

  constructor(listener: LiveListener) {
    this.#listener = listener;
    this.#open();
    this.#watching = setInterval(() => this.#watch(), watch_ms);
  }

  close(): void {
    clearInterval(this.#watching);
    this.#source?.close();
    this.#source = undefined;
  }

  readonly state = (): LiveState => this.#state;

  readonly subscribe = (tell: () => void): (() => void) => {
    this.#told.add(tell);
    return () => this.#told.delete(tell);
  };

  readonly dismissBack = (): void => {
    this.#set({ back: undefined });
  };

  #open(): void {
    this.#source?.close();
    this.#openedAt_ms = Date.now();
    const source = new EventSource(pathTo(routes.listen));
    this.#source = source;
    this.#on(source, 'snapshot', ({ risers }) => {
      this.#set({ risers });
      this.#comeBack('unknown');
      this.#listener.onChange(undefined);
    });
    this.#on(source, 'riser', ({ riser }) => {
      const others = this.#state.risers.filter((each) => keyText(each) !== keyText(riser));
      this.#set({ risers: [...others, riser].toSorted(byUrgency) });
      this.#listener.onChange(keyText(riser));
    });
    this.#on(source, 'resumed', ({ changes }) => {
      this.#comeBack(changes);
    });
    this.#on(source, 'resync', () => undefined);
    this.#on(source, 'tick', ({ at, following }) => {
      this.#set({ stationAhead_ms: Date.parse(at) - Date.now(), following });
    });
  }

  #on<Name extends LiveEventName>(source: EventSource, name: Name, take: (data: LiveEvent<Name>) => void): void {
    source.addEventListener(name, (message: MessageEvent<string>) => {
      const parsed = liveEvents[name].safeParse(JSON.parse(message.data));
      // A message outside the contract is not life: the silence that follows is shown as a lost connection.
      if (!parsed.success || this.#source !== source) return;
      this.#set({ heardAt_ms: Date.now(), connection: 'live' });
      take(parsed.data as LiveEvent<Name>);
    });
  }

  #comeBack(changes: number | 'unknown'): void {
    if (this.#lostSince_ms === undefined) return;
    this.#set({ back: { lost_ms: Date.now() - this.#lostSince_ms, changes } });
    this.#lostSince_ms = undefined;
  }

  #watch(): void {
    const now = Date.now();
    const heard_ms = this.#state.heardAt_ms ?? this.#openedAt_ms;
    if (now - heard_ms <= lostAfter_ms) return;
    if (this.#state.connection !== 'lost') {
      this.#lostSince_ms = heard_ms;
      this.#set({ connection: 'lost' });
    }
    // The browser resumes by itself from the last id; a source it gave up, or one that hangs, is opened anew.
    if (now - this.#openedAt_ms > retry_ms) this.#retry(now);
  }

  #retry(now: number): void {
    const waiting = this.#source?.readyState === EventSource.CONNECTING;
    if (waiting && now - this.#openedAt_ms < retry_ms * 4) return;
    this.#listener.onSilence();
    this.#open();
  }

  #set(change: Partial<LiveState>): void {
    this.#state = { ...this.#state, ...change };
    for (const tell of this.#told) tell();
  }
}
