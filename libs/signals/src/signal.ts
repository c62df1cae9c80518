import type { Instant } from '@tidemark/kernel';
import type { ActName, ContactName, ContactState, ReadingName } from '@tidemark/words';

/** What a signal says, once decoded. */
export type SignalContent =
  | { readonly kind: 'contact'; readonly name: ContactName; readonly state: ContactState }
  | { readonly kind: 'act'; readonly name: ActName }
  | { readonly kind: 'periodic-test'; readonly name: 'periodic-test' }
  /** `si` in Pa for pressures and m3/s for flows; `value` and `unit` as sent, for showing. */
  | {
      readonly kind: 'reading';
      readonly name: ReadingName;
      readonly si: number;
      readonly value: number;
      readonly unit: string;
    };

/** Whose signal it is: two segments of the topic. */
export interface RiserKey {
  readonly account: string;
  readonly riser: string;
}

/** A valid signal, whichever form it came in. */
export interface Signal {
  readonly key: RiserKey;
  /** The CloudEvents source; for Contact ID the topic stands for it. */
  readonly source: string;
  /** With `source` the identity. Contact ID has none of its own: it is derived from receipt time and text. */
  readonly id: string;
  /** The panel's clock; absent for a form without one (Contact ID), where receipt stands for it. */
  readonly observedAt: Instant | undefined;
  readonly sequence: bigint | undefined;
  readonly point: number | undefined;
  readonly text: string | undefined;
  readonly content: SignalContent;
  readonly form: 'cloudevent' | 'contact-id';
}
