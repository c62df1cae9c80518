import type { Instant } from '@tidemark/kernel';
import type { EventReference, Phase, RiserCommand } from '@tidemark/riser';
import type { SignalName } from '@tidemark/signals';
import type { HiddenElement, RestorationStepId } from '@tidemark/words';
import type { AlertView } from './alert-view.ts';
import type { Finding } from './finding.ts';

/** A point as a person is shown it. */
export interface PointView {
  readonly point: number | undefined;
  readonly signal: SignalName;
  readonly label: string;
  /** `not-known`: reported active by a panel that cannot tell a restoral before the next reset. */
  readonly state: 'active' | 'restored' | 'never-seen' | 'not-known';
  readonly since: Instant | undefined;
  readonly heardAt: Instant | undefined;
  readonly heardReceivedAt: Instant | undefined;
  /** Whether the link was supervised as alive when this was asked. */
  readonly fresh: boolean;
}

/** Where a part is believed to be, how surely, and why. */
export interface PositionView {
  readonly element: HiddenElement;
  /** E.g. `open`, `not fully open`, `shut`, `energized`, `pressurised`, `vented`, `unknown`. */
  readonly position: string;
  /** From 0 (nothing is known) to 1 (a signal says so and nothing speaks against it). */
  readonly certainty: number;
  readonly why: string;
  readonly evidence: readonly EventReference[];
}

/** One step of the restoration list and how it stands. */
export interface RestorationStep {
  readonly step: RestorationStepId;
  readonly title: string;
  readonly status: 'proven' | 'contradicted' | 'waiting' | 'cannot-be-seen';
  /** What a person is told about it: what proves it, what is awaited, what check on site would settle it. */
  readonly detail: string;
  readonly evidence: readonly EventReference[];
  /** The signal expected next for a waiting step, and by when (station's clock), where that can be said. */
  readonly expects?: SignalName;
  readonly by?: Instant;
  /** Who confirmed it on site, where somebody did. */
  readonly confirmedBy?: string;
  readonly confirmedAt?: Instant;
  /** A caution that belongs to this very step. */
  readonly caution?: string;
}

/** What a person commanded or put on record. */
export interface ActionView {
  readonly id: string;
  readonly at: Instant;
  readonly by: string;
  readonly command: RiserCommand;
  /** Whether it belongs to the open episode. */
  readonly inEpisode: boolean;
}

/** The open episode, or none. */
export interface EpisodeView {
  readonly id: string;
  readonly began: Instant;
  readonly opener: string;
  /** One plain sentence: what is the matter now, with the decisive time in it. */
  readonly headline: string;
  readonly story: readonly { readonly at: Instant; readonly text: string; readonly evidence: EventReference }[];
  readonly eventCount: number;
}

/** The state of a riser (CONTRACT 4). A value: as of one moment, from its events alone. */
export interface RiserView {
  readonly account: string;
  readonly riser: string;
  readonly site: { readonly name: string; readonly timeZone: string };
  readonly phase: Phase;
  readonly phaseSince: Instant | undefined;
  readonly asOf: Instant;
  readonly points: readonly PointView[];
  readonly readings: readonly {
    readonly name: SignalName;
    readonly point: number | undefined;
    readonly value: number;
    readonly unit: string;
    readonly at: Instant;
  }[];
  readonly positions: readonly PositionView[];
  readonly episode: EpisodeView | undefined;
  readonly restoration: readonly RestorationStep[];
  readonly findings: readonly Finding[];
  /** What asks for a person, most urgent first, with who owes what by when. */
  readonly alerts: readonly AlertView[];
  /** What people did, newest last. */
  readonly actions: readonly ActionView[];
  readonly link: {
    readonly state: 'unknown' | 'up' | 'down' | 'stale';
    readonly since: Instant | undefined;
    readonly lastHeardAt: Instant | undefined;
    readonly clockOffset_ms: number | undefined;
  };
  readonly test:
    | {
        readonly origin: 'station' | 'panel';
        readonly began: Instant;
        readonly endsAt: Instant | undefined;
        readonly expect: readonly SignalName[];
        readonly seen: readonly SignalName[];
      }
    | undefined;
  readonly impairment:
    | {
        readonly kind: 'planned' | 'emergency';
        readonly reason: string;
        readonly began: Instant;
        readonly limitAt: Instant;
      }
    | undefined;
  readonly counts: { readonly signals: number; readonly repeats: number };
}
