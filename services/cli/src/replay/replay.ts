import type { Instant } from '@tidemark/kernel';
import { formatInstant, invariant } from '@tidemark/kernel';
import type { Finding, FindingCode, Output, Twin } from '@tidemark/reasoning';
import { initialTwin, nextDeadline, step } from '@tidemark/reasoning';
import type { Phase, Profile, RiserEvent } from '@tidemark/riser';
import { phaseOf } from '@tidemark/riser';
import type { ReplayOptions, Refusal } from '@tidemark/signals';
import { defaultPrefix, readReplayLine } from '@tidemark/signals';
import type { ReplayLine } from './line-index.ts';
import { eventOf, identityOf } from './replay-event.ts';
import { SeenIdentities } from './seen-identities.ts';

/** One thing that a replay makes known. */
export type ReplayNews =
  | { readonly kind: 'finding'; readonly finding: Finding }
  /** `at` is missing of the starting phase of a file in which no line says when it was received. */
  | { readonly kind: 'phase'; readonly phase: Phase; readonly at: Instant | undefined }
  | ({ readonly kind: 'quarantine'; readonly line: number; readonly receivedAt: Instant | undefined } & Refusal);

/** What a replay counted. `signals` are those that were folded, so without the duplicates. */
export interface ReplayCounts {
  readonly lines: number;
  readonly signals: number;
  readonly commands: number;
  readonly links: number;
  readonly duplicates: number;
  readonly quarantined: number;
  /** How often each code was raised. */
  readonly findings: Readonly<Partial<Record<FindingCode, number>>>;
}

/**
 * Runs lines through the same fold and reasoning as live, on a clock that stands at the receipt of the line taken
 * last. Between two lines it stops at every deadline; what falls due at the very moment of a line is judged after it,
 * since a signal that comes before the wait is over is not absent.
 */
export class Replay {
  readonly #options: ReplayOptions;
  readonly #profile: Profile;
  readonly #seen = new SeenIdentities();
  readonly #findings: Partial<Record<FindingCode, number>> = {};
  readonly #counts = { lines: 0, signals: 0, commands: 0, links: 0, duplicates: 0, quarantined: 0 };
  #twin: Twin | undefined;
  #now: Instant | undefined;

  constructor(profile: Profile, prefix: string = defaultPrefix) {
    this.#profile = profile;
    const key = { account: profile.account, riser: profile.riser };
    const installed = {
      points: profile.points,
      ...(profile.contactId === undefined ? {} : { contactIdAccount: profile.contactId.account }),
    };
    this.#options = {
      key,
      prefix,
      installed: ({ account, riser }) => (account === key.account && riser === key.riser ? installed : undefined),
    };
  }

  get counts(): ReplayCounts {
    return { ...this.#counts, findings: { ...this.#findings } };
  }

  /** The riser with its reasoning as of now; none before the first line. */
  get twin(): Twin | undefined {
    return this.#twin;
  }

  /** The receipt of the line taken last that has one. */
  get now(): Instant | undefined {
    return this.#now;
  }

  /** Takes the next line in order of receipt, after the deadlines before it. */
  take(line: ReplayLine): readonly ReplayNews[] {
    this.#counts.lines += 1;
    const passed = line.receivedAt === undefined ? [] : this.#pass(line.receivedAt, 'before');
    const entry = line.text.ok ? readReplayLine(line.text.value, this.#options) : line.text;
    if (!entry.ok) {
      this.#counts.quarantined += 1;
      const { reason, detail } = entry.failure;
      return [...passed, { kind: 'quarantine', line: line.number, receivedAt: line.receivedAt, reason, detail }];
    }
    const identity = identityOf(entry.value);
    if (identity !== undefined && !this.#seen.add(identity)) {
      this.#counts.duplicates += 1;
      const { receivedAt, type } = entry.value;
      if (type !== 'signal') return passed;
      const { source, id } = entry.value.signal;
      return [...passed, ...this.#fold({ type: 'signal-repeated', id: `${source} ${id}`, receivedAt, source })];
    }
    this.#counts[countedAs[entry.value.type]] += 1;
    return [...passed, ...this.#fold(eventOf(entry.value, line.number))];
  }

  /** Runs the clock on to a moment, every deadline up to it included. */
  runTo(moment: Instant): readonly ReplayNews[] {
    return this.#pass(moment, 'through');
  }

  /** The starting phase of a replay that never got a clock; nothing otherwise. */
  end(): readonly ReplayNews[] {
    if (this.#twin !== undefined) return [];
    return [{ kind: 'phase', phase: 'unknown', at: undefined }];
  }

  /** Lets the clock reach a moment, stopping at the deadlines before it, or through it. */
  #pass(moment: Instant, how: 'before' | 'through'): readonly ReplayNews[] {
    const news = [...this.#begin(moment)];
    for (let due = this.#due(); due !== undefined && (how === 'through' ? due <= moment : due < moment);) {
      news.push(...this.#fold({ type: 'time-reached', id: `time ${formatInstant(due)}`, receivedAt: due }));
      const next = this.#due();
      invariant(next === undefined || next > due, 'a deadline that was reached is not due again');
      due = next;
    }
    this.#now = moment;
    return news;
  }

  #due(): Instant | undefined {
    return this.#twin === undefined ? undefined : nextDeadline(this.#twin);
  }

  #begin(moment: Instant): readonly ReplayNews[] {
    if (this.#twin !== undefined) return [];
    this.#twin = initialTwin(this.#profile, moment);
    return [{ kind: 'phase', phase: phaseOf(this.#twin.riser.picture, moment), at: moment }];
  }

  #fold(event: RiserEvent): readonly ReplayNews[] {
    const begun = this.#begin(event.receivedAt);
    invariant(this.#twin !== undefined, 'a replay has a twin once it has begun');
    const { twin, outputs } = step(this.#twin, event);
    this.#twin = twin;
    return [...begun, ...outputs.flatMap((output) => this.#tell(output))];
  }

  /** What people owe an alert is no news of a replay (CONTRACT 7.1): nobody was there to do it. */
  #tell(output: Output): readonly ReplayNews[] {
    if (output.type === 'alert') return [];
    if (output.type === 'phase-changed') return [{ kind: 'phase', phase: output.phase, at: output.at }];
    const { finding } = output;
    if (finding.status === 'raised') this.#findings[finding.code] = (this.#findings[finding.code] ?? 0) + 1;
    return [{ kind: 'finding', finding }];
  }
}

const countedAs = { signal: 'signals', command: 'commands', link: 'links' } as const;
