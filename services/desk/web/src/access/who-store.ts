import type { WhoAmI } from '@tidemark/api';
import { ask, StationRefused, StationUnreachable, speakAs } from '../server.ts';

/** Who sits here, as far as the page knows. */
export type WhoState =
  | { readonly state: 'asking' }
  | { readonly state: 'unreachable' }
  /** Nobody is logged in; `hasEnded` where somebody was, on this page. */
  | { readonly state: 'out'; readonly hasEnded: boolean }
  | { readonly state: 'in'; readonly who: WhoAmI };

/** How often the page looks whether roles changed or the session ended, beside what every answer tells. */
const look_ms = 60_000;

/** Knows who is logged in, and is told by every answer of the station that says nobody is. */
export class WhoStore {
  #state: WhoState = { state: 'asking' };
  readonly #told = new Set<() => void>();

  constructor() {
    void this.refresh();
    setInterval(() => void this.refresh(), look_ms);
  }

  readonly state = (): WhoState => this.#state;

  readonly subscribe = (tell: () => void): (() => void) => {
    this.#told.add(tell);
    return () => this.#told.delete(tell);
  };

  /** Asks the station who this is. While it cannot be reached, what was known stays: that is the connection's matter. */
  readonly refresh = async (): Promise<void> => {
    try {
      this.#isIn(await ask('whoAmI'));
    } catch (error) {
      if (error instanceof StationRefused && error.problem.code === 'not-logged-in') this.#isOut();
      else if (this.#state.state !== 'in') this.#set({ state: 'unreachable' });
    }
  };

  /** Logs in; what the station refuses is thrown. */
  readonly logIn = async (name: string, password: string): Promise<void> => {
    this.#isIn(await ask('logIn', { body: { name, password } }));
  };

  /** Logs out. If the station cannot be reached the session is still open there, and that is thrown. */
  readonly logOut = async (): Promise<void> => {
    try {
      await ask('logOut', { body: {} });
    } catch (error) {
      if (error instanceof StationUnreachable) throw error;
    }
    speakAs(undefined);
    this.#set({ state: 'out', hasEnded: false });
  };

  #isIn(who: WhoAmI): void {
    speakAs({
      token: who.token,
      onEnded: () => {
        this.#isOut();
      },
    });
    if (this.#state.state === 'in' && JSON.stringify(this.#state.who) === JSON.stringify(who)) return;
    this.#set({ state: 'in', who });
  }

  #isOut(): void {
    speakAs(undefined);
    const hasEnded = this.#state.state === 'in' || (this.#state.state === 'out' && this.#state.hasEnded);
    if (this.#state.state !== 'out') this.#set({ state: 'out', hasEnded });
  }

  #set(state: WhoState): void {
    this.#state = state;
    for (const tell of this.#told) tell();
  }
}
