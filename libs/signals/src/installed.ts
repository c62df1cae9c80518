import type { SignalName } from '@tidemark/words';

/** What decoding needs to know of a riser's profile. */
export interface Installed {
  /** The Contact ID account, where the profile gives one: `"1234"`. */
  readonly contactIdAccount?: string;
  readonly points: readonly { readonly point: number; readonly signal: SignalName }[];
}
