import type { CommandReceipt, Following, RiserKey } from '@tidemark/api';
import type { AlertEvent, AlertPolicy } from '@tidemark/alerting';
import type { Access } from './access/access.ts';
import type { JournalReader, Position } from '@tidemark/journal';
import type { Instant, Result } from '@tidemark/kernel';
import type { RiserView } from '@tidemark/reasoning';
import type { RiserCommand } from '@tidemark/riser';
import type { Observable } from 'rxjs';
import type { Shift } from './hand-overs.ts';

/** A moment of the past: by the clock of receipt, or by journal position. */
export type PastMoment =
  { readonly type: 'time'; readonly at: Instant } | { readonly type: 'position'; readonly position: Position };

/** A riser's view changed by the event at this position; `views()` already shows it when this is told. */
export interface RiserChange {
  readonly key: RiserKey;
  readonly position: Position;
  /** Inaction that it made known. */
  readonly escalations: readonly Escalation[];
}

/** Nobody did what an alert was owed. */
export type Escalation = Extract<AlertEvent, { type: 'alert-escalated' }>;

/** What the desk reads: every riser as the twin knows it. */
export interface RiserViews {
  /** As of now, every riser that has a profile. */
  views(): readonly RiserView[];
  view(key: RiserKey): RiserView | undefined;
  /** The riser as it was, from its events alone. */
  past(key: RiserKey, moment: PastMoment): Promise<Result<RiserView, 'unknown-riser' | 'moment-not-reached'>>;
  /** What a riser's alerts are owed, shelved and escalated by. */
  alertPolicy(key: RiserKey): AlertPolicy | undefined;
  /** The journal position that `views()` is true for; none in an empty journal. */
  position(): Position | undefined;
  /** Whether the views follow the journal. */
  following(): Following;
  /** In journal order, each told after `views()` shows it. It never fails: a fault shows in `following`. */
  readonly changes: Observable<RiserChange>;
}

/** A command with its author; `id` is the caller's, so that asking again records nothing. */
export interface GivenCommand {
  readonly id: string;
  readonly by: string;
  readonly command: RiserCommand;
}

/** What the desk writes: decisions of people, into the riser's stream. */
export interface Commands {
  /** Durable once it resolves. Throws `JournalUnavailable` where that cannot be had. */
  give(key: RiserKey, given: GivenCommand): Promise<CommandReceipt>;
  /** The receipt of a command that was given before under this id. */
  receipt(key: RiserKey, id: string): Promise<CommandReceipt | undefined>;
}

/** How one part of the station is, in words for staff. */
export interface PartHealth {
  readonly part: string;
  readonly state: 'up' | 'down';
  readonly detail: string;
}

/** Everything the desk stands on. The station composes it; tests give in-memory ones. */
export interface DeskPorts {
  readonly views: RiserViews;
  readonly commands: Commands;
  readonly shift: Shift;
  readonly journal: JournalReader;
  readonly parts: () => readonly PartHealth[];
  readonly clock: () => Instant;
  /** Who may come in, from `openAccess`. */
  readonly access: Access;
}
